"""Track: choose what to record, wind by figures, and watch the run while it happens.

The layout holds what is known when the page opens. assets/track.js then fills the places marked
data-live from the socket, as text, and draws. Dash's own graph would not do: it draws its first
figure again if a user zooms or turns the phone, and loses the points added since then.
"""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.live_boards import LiveBoards
from unspool.app.live_state import LiveState
from unspool.app.pages.boards import PATH as BOARDS
from unspool.app.pages.boards import boards_page
from unspool.app.pages.page import Page
from unspool.app.pages.track_car import advice, change_car, choose_car
from unspool.app.parts import attributes, button, empty, fold, save_buttons
from unspool.app.permissions import holds
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rights import Right
from unspool.car import Car
from unspool.language import _, later

KEY = (
    ("measured", later("measured")),
    ("expected", later("expected")),
    ("awaited", later("event expected")),
    ("found", later("event found")),
    ("stop", later("stop expected, 90 %")),
)


def track_page(lives: LiveBoards) -> Page:
    """The board that is recorded; all of them, if there are several; what to choose, if none."""
    if only := lives.only:
        return _page(only)
    return boards_page(lives)


def board_page(lives: LiveBoards, name: str) -> Page:
    """name: a board's number, as its address has it, or the key of its recording."""
    live = lives.find(name)
    return _page(live) if live else _gone(lives, name)


def _page(live: LiveState) -> Page:
    texts = live.texts()
    body = _recording(texts, live.car) if live.car else choose_car(texts, live.line.name)
    return Page(_("Track"), body, place="track")


def _gone(lives: LiveBoards, name: str) -> Page:
    """Nobody records the board now. The page follows as soon as somebody does."""
    body = empty(
        _("This board is not recorded now"),
        _("This page follows as soon as its recording starts."),
        dcc.Link(_("See the boards that are here"), href=BOARDS),
    )
    root = attributes(data_phase="gone", data_session=lives.session, data_recorded=name)
    return Page(_("Track"), html.Div(body, id="track", **root), place="track")


def _recording(texts: dict[str, Any], car: Car) -> html.Div:
    return html.Div(
        [
            html.H1(_("Track: {car}", car=car.name), className="unseen"),
            _beside(texts),
            _outcome(texts),
            _winding(texts["tiers"]),
            html.Section(
                [_dial(i, dial) for i, dial in enumerate(texts["dials"])],
                className="dials",
                **attributes(aria_label=_("Figures")),
            ),
            _lane(texts),
            html.P(texts["trouble"], role="status", className="trouble", **_place("trouble")),
            html.P(texts["by_itself"], className="by-itself", **_place("by_itself")),
            _speed(car),
            html.P(
                [html.Span(texts[name], **_place(name)) for name in ("link", "battery", "lost")],
                className="health",
            ),
            advice(texts["advised"]),
            _ending(car),
        ],
        id="track",
        **attributes(
            data_phase=texts["phase"],
            data_alarm=str(texts["alarm"]).lower(),
            data_session=texts["session"],
            data_recorded=texts["key"],
        ),
    )


def _beside(texts: dict[str, Any]) -> html.P:
    """Only shown if other boards are recorded, too."""
    every = html.A(texts["beside"], href=BOARDS, **_place("beside"))
    return html.P([html.Span(texts["at"], **_place("at")), " ", every], className="beside")


def _outcome(texts: dict[str, Any]) -> html.Div:
    return html.Div(
        [
            html.P(texts["answer"], role="status", **_place("answer")),
            html.A(_("See the attempt"), href=texts["run"] or None, **_place("run")),
        ],
        className="outcome",
    )


def _winding(tiers: list[dict[str, Any]]) -> html.Section:
    """The turns on each tier while it is wound, and the buttons for the person who winds."""
    rows = [
        html.Li(
            [html.Span(tier["name"]), html.Span(tier["turns"], **_place(f"tier-{i}"))],
            **attributes(data_tier=str(i), data_now=str(tier["now"]).lower()),
        )
        for i, tier in enumerate(tiers)
    ]
    return html.Section(
        [
            html.Div(className="drawing", **attributes(data_draw="winding", aria_hidden="true")),
            html.Ol(rows),
            html.Div(_marks(len(tiers)), className="marks"),
        ],
        className="wound",
        **attributes(aria_label=_("Winding")),
    )


def _marks(tiers: int) -> list[Component]:
    sound = html.Button(
        _("Sound on"), type="button", className="second", **attributes(data_sound="")
    )
    if tiers < 2:
        return [sound]
    if not holds(Right.STATION):
        return [dcc.Link(_("Give the PIN to mark tiers"), href=PIN_PATH, refresh=True), sound]
    return [
        html.Button(
            [_("Next tier"), " ", html.Kbd("n")], type="button", **attributes(data_mark="next")
        ),
        html.Button(_("Undo"), type="button", className="second", **attributes(data_mark="last")),
        sound,
        html.P("", role="status", **_place("marked")),
    ]


def _lane(texts: dict[str, Any]) -> html.Section:
    return html.Section(
        [
            html.Div(className="drawing", **attributes(data_draw="lane", aria_hidden="true")),
            html.P(texts["ahead"], **_place("ahead")),
            html.P(texts["stop"], className="stop", **_place("stop")),
        ],
        className="lane",
        **attributes(aria_label=_("The car on its lane")),
    )


def _speed(car: Car) -> html.Figure:
    return html.Figure(
        [
            html.Div(className="plot", **attributes(data_plot="track")),
            html.Figcaption(
                [html.Span([html.I(className=f"key {k}"), _(text)]) for k, text in KEY]
            ),
            save_buttons("speed", (car.name, "live")),
        ]
    )


def _ending(car: Car) -> Component:
    if not holds(Right.STATION):
        return html.P(dcc.Link(_("Give the PIN to end the recording"), href=PIN_PATH, refresh=True))
    return fold(
        _("Recording {car}", car=car.name),
        html.P(_("What was recorded is saved. An attempt that is under way ends here.")),
        html.Div(button(_("End the recording"), data_act="/track/end")),
        html.P("", role="status", **attributes(data_said="")),
        *change_car(),
        html.P(dcc.Link(_("Record another board"), href=BOARDS), className="links"),
    )


def _place(name: str) -> dict[str, Any]:
    return attributes(data_live=name)


def _dial(place: int, dial: dict[str, str]) -> html.Div:
    return html.Div(
        [
            html.Span(dial[part], className=part, **_place(f"{part}-{place}"))
            for part in ("label", "value", "unit")
        ],
        className="dial",
    )
