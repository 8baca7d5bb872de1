"""In which car a board is: what it remembers, and how to say another one."""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.track_setup import choice, unready
from unspool.app.parts import attributes, empty
from unspool.app.permissions import holds
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rights import Right
from unspool.language import _


def choose_car(texts: dict[str, Any], name: str) -> html.Div:
    """The page of a board that is recorded before anybody said its car. name: of the board."""
    asks = (
        _("In which car is {board}?")
        if texts["needs_car"]
        else _("Waiting for the board on {board}")
    )
    kept = _("All that the board sends is kept. Its next attempt gets the car that is chosen here.")
    body: list[Component] = [empty(asks.format(board=name), kept), *_choosing()]
    root = attributes(
        data_phase="carless", data_session=texts["session"], data_recorded=texts["key"]
    )
    return html.Div(body, id="track", **root)


def change_car() -> list[Component]:
    """In the fold of a recording: another car or floor from now on."""
    return [
        html.H2(_("Another car or floor")),
        html.P(
            _(
                "An attempt that is under way is then that car's. Attempts that were saved keep"
                " theirs."
            )
        ),
        *_form(_("Record this one")),
    ]


def advice(advised: dict[str, str]) -> html.Div:
    """What the board remembers; the button takes it."""
    take = attributes(data_act="/track/car", data_car=advised["car"], data_floor=advised["floor"])
    hidden = not (advised["car"] and holds(Right.STATION))
    return html.Div(
        [
            html.P(advised["text"], role="status", **attributes(data_live="advised")),
            html.Button(_("Record that one"), type="button", hidden=hidden, **take),
            html.P("", role="status", **attributes(data_said="")),
        ],
        className="advised act",
        **attributes(data_advised=""),
    )


def _choosing() -> list[Component]:
    if not holds(Right.STATION):
        return [html.P(dcc.Link(_("Give the PIN to choose it"), href=PIN_PATH, refresh=True))]
    end = html.Div(
        [
            html.Button(
                _("End the recording"),
                type="button",
                className="second",
                **attributes(data_act="/track/end"),
            ),
            html.P("", role="status", **attributes(data_said="")),
        ],
        className="act",
    )
    return [*_form(_("Record this car")), end]


def _form(text: str) -> list[Component]:
    said = html.P("", role="status", **attributes(data_said=""))
    return [
        html.Form(
            [choice("car", _("Car")), choice("floor", _("Floor"))],
            className="setup",
            **attributes(aria_label=_("The car of this board"), data_setup=""),
        ),
        html.Div([unready(text, "/track/car"), said], className="act"),
    ]
