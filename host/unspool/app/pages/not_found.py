"""The page for addresses where there is none."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.pages.page import Page
from unspool.app.parts import empty, with_parts
from unspool.language import _


def not_found_page(address: str) -> Page:
    return Page(
        _("Nothing here"),
        empty(
            _("There is no page here"),
            with_parts(
                _("No page of unspool has the address {address}."), address=html.Code(address)
            ),
            with_parts(
                _("Go to {track} or to the {logbook}."),
                track=_link("Track", "/"),
                logbook=_logbook(),
            ),
        ),
    )


def no_run_page(run_id: str) -> Page:
    return Page(
        _("No such attempt"),
        empty(
            _("This store has no such attempt"),
            with_parts(
                _("There is no attempt of number {number}; perhaps it is in another store."),
                number=html.Code(run_id),
            ),
            with_parts(_("All attempts of this store are in the {logbook}."), logbook=_logbook()),
        ),
        place="logbook",
    )


def no_thing_page(noun: str, name: str) -> Page:
    """noun: "car" or "floor"."""
    is_car = noun == "car"
    return Page(
        _("No such car") if is_car else _("No such floor"),
        empty(
            _("There is no car of that name") if is_car else _("There is no floor of that name"),
            with_parts(
                _("No car here is called {name}.")
                if is_car
                else _("No floor here is called {name}."),
                name=html.Code(name),
            ),
            with_parts(_("All of them are in {cars}."), cars=_link("Cars", "/cars")),
        ),
        place="cars",
    )


def error_page(sentence: str) -> Page:
    """What went wrong, in its own sentence, with a way back."""
    back = with_parts(_("Go back to the {logbook}."), logbook=_logbook())
    return Page(_("Trouble"), empty(_("This cannot be shown"), sentence, back))


def _logbook() -> dcc.Link:
    return _link("Logbook", "/logbook")


def _link(place: str, href: str) -> dcc.Link:
    """place: by its English name, which is a message of places.py."""
    return dcc.Link(_(place), href=href)
