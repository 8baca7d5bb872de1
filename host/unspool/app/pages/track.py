"""Track: large figures, and the run drawn while it happens.

The layout holds what is known when the page opens. assets/live.js then fills the places marked
data-live from the socket, as text, and draws the picture. Dash's own graph would not do: it draws
its first figure again if a user zooms or turns the phone, and loses the points added since then.
"""

from __future__ import annotations

from typing import Any

from dash import dcc, html

from unspool.app.live_state import LiveState
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, command, empty, save_buttons
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.car import Car

KEY = (
    ("measured", "measured"),
    ("expected", "expected"),
    ("awaited", "event expected"),
    ("found", "event found"),
    ("stop", "stop expected, 90 %"),
)


def track_page(live: LiveState) -> Page:
    body = _running(live, live.car) if live.car else _not_recording()
    return Page("Track", body, place="track")


def _not_recording() -> html.Section:
    return empty(
        "No car is being recorded",
        html.Span(
            [
                "Connect the board and start ",
                command("unspool record --car CAR.toml"),
                "; ",
                command("unspool links"),
                " lists the ports.",
            ]
        ),
        html.Span(
            [
                "Runs that were recorded before are in the ",
                dcc.Link("Logbook", href="/logbook"),
                ". Without a board, ",
                command("unspool demo"),
                " shows a virtual car.",
            ]
        ),
    )


def _running(live: LiveState, car: Car) -> html.Div:
    texts = live.texts()
    return html.Div(
        [
            html.H1("Track", className="unseen"),
            html.Div(
                [
                    html.P(texts["answer"], role="status", **_place("answer")),
                    html.A("See the attempt", href=texts["run"] or None, **_place("run")),
                ],
                className="outcome",
            ),
            _winding(texts["tiers"]),
            html.Section(
                [_dial(i, dial) for i, dial in enumerate(texts["dials"])],
                className="dials",
                **attributes(aria_label="Figures"),
            ),
            html.Figure(
                [
                    html.Div(className="plot", **attributes(data_plot="track")),
                    html.Figcaption(_key()),
                    save_buttons("speed", (car.name, "live")),
                ]
            ),
            html.P(
                [html.Span(texts[name], **_place(name)) for name in ("link", "battery", "lost")],
                className="health",
            ),
            html.P(texts["trouble"], role="status", className="trouble", **_place("trouble")),
        ],
        id="track",
        **attributes(data_phase=texts["phase"], data_alarm=str(texts["alarm"]).lower()),
    )


def _winding(tiers: list[dict[str, Any]]) -> html.Section:
    """The turns on each tier while it is wound, and the button for the person who winds."""
    rows = [
        html.Li(
            [html.Span(tier["name"]), html.Span(tier["turns"], **_place(f"tier-{i}"))],
            **attributes(data_tier=str(i), data_now=str(tier["now"]).lower()),
        )
        for i, tier in enumerate(tiers)
    ]
    button = html.Button(
        ["Next tier ", html.Kbd("n")], type="button", **attributes(data_mark="tier")
    )
    answer = html.P("", role="status", **_place("marked"))
    guest = dcc.Link("Give the PIN to mark tiers", href=PIN_PATH, refresh=True)
    shown = ([button, answer] if may_change.get() else [guest]) if len(tiers) > 1 else []
    return html.Section(
        [html.Ol(rows), *shown], className="wound", **attributes(aria_label="Winding")
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


def _key() -> list[html.Span]:
    return [html.Span([html.I(className=f"key {k}"), text]) for k, text in KEY]
