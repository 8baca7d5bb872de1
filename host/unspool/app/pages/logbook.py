"""Logbook: all attempts in a table that the browser draws from `/logbook/rows`."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.logbook_routes import DEMO
from unspool.app.pages.import_form import import_form
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, button, with_parts
from unspool.app.permissions import may_change
from unspool.app.rolling import PATH as ROLL_OUT
from unspool.app.rolling import USUAL_TAPE_MM
from unspool.language import _
from unspool.store import Shelf, Store


def logbook_page(store: Store) -> Page:
    """The table's frame. Scripts fill it, and hide what it says if there is no attempt."""
    body = html.Div(
        [html.H1(_("Logbook")), _book(store), _no_attempts(), *import_form(_names(store.cars))],
        className="book",
    )
    return Page(_("Logbook"), body, place="logbook")


def _book(store: Store) -> html.Div:
    """The scripts' place, with what they need to know. Names have a line each."""
    known = attributes(
        data_logbook="",
        data_may="yes" if may_change.get() else "",
        data_cars="\n".join(_names(store.cars)),
        data_floors="\n".join(_names(store.tracks)),
        data_roll_path=ROLL_OUT,
        data_tape_mm=USUAL_TAPE_MM,
    )
    return html.Div(html.P(_("Opening the Logbook."), role="status"), **known)


def _names(shelf: Shelf) -> list[str]:
    return [one.name for one in shelf.listed() if not one.away]


def _no_attempts() -> html.Section:
    steps: list[Component] = [html.H2(_("No attempt yet"))]
    if may_change.get():
        track = dcc.Link(_("Go to Track"), href="/")
        steps += [
            html.P(with_parts(_("{track} and record the first one."), track=track)),
            html.P(_("Or drop an edge file or a bundle of another unspool on this page.")),
            html.P(_("Or look around first, with invented attempts of two invented cars.")),
            html.P(
                [
                    button(_("Load the demo's attempts"), data_send=DEMO, data_then="book"),
                    html.Span("", role="status", **attributes(data_sent="")),
                ],
                className="links",
            ),
        ]
    else:
        steps.append(html.P(_("Attempts stand here as soon as one was recorded or imported.")))
    return html.Section(steps, className="empty", hidden=True, **attributes(data_no_attempts=""))
