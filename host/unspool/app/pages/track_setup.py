"""Track before a recording: which car, floor and board; and whether the sensors see the disc.

assets/setup.js fills in what can be chosen, again and again, as boards come and go.
"""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import attributes, button, command, empty, fold
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH

STEPS = (("car", "Car"), ("floor", "Floor"), ("board", "Board"))


def setup(texts: dict[str, Any]) -> html.Div:
    body = _form(texts) if may_change.get() else [_guest()]
    return html.Div(
        body, id="track", **attributes(data_phase="setup", data_session=texts["session"])
    )


def _guest() -> Component:
    return empty(
        "Nothing is recorded now",
        "This page follows as soon as a recording starts.",
        dcc.Link("Give the PIN to start one", href=PIN_PATH, refresh=True),
    )


def _form(texts: dict[str, Any]) -> list[Component]:
    start = html.Button("Start the recording", type="button", **attributes(data_act="/track/start"))
    return [
        html.H1("Start a recording"),
        html.P(
            [html.A("See the last attempt", href=texts["run"] or None)],
            className="outcome" if texts["run"] else "unseen",
        ),
        html.Form(
            [_choice(name, legend) for name, legend in STEPS],
            className="setup",
            **attributes(aria_label="What to record", data_setup=""),
        ),
        html.Div([start, html.P("", role="status", **attributes(data_said=""))], className="act"),
        _sensors(),
        fold(
            "A board without unspool's firmware",
            html.P(
                [
                    "The command ",
                    command("unspool flash"),
                    " puts the firmware on a board that is plugged in, and checks that it runs.",
                ]
            ),
        ),
    ]


def _choice(name: str, legend: str) -> Component:
    parts: list[Component] = [
        html.Legend(legend),
        html.Div(className="boxes", **attributes(data_choice=name)),
        html.P("", role="status", className="quiet", **attributes(data_none=name)),
    ]
    if name == "car":
        parts.append(html.P(dcc.Link("Describe a car", href="/cars"), className="links"))
    if name == "board":
        look = attributes(data_act="/track/look")
        parts.append(
            html.Button("Look for radio boards", type="button", className="second", **look)
        )
    return html.Fieldset(parts)


def _sensors() -> Component:
    return fold(
        "Check the sensors",
        html.P(
            "Turn the driven wheel by hand in the direction in which the car runs, with no string"
            " wound. Both lines must step up and down, one a little after the other."
        ),
        html.Div(
            [
                button("Begin the check", data_act="/track/sensors"),
                html.Button(
                    "End it",
                    type="button",
                    className="second",
                    **attributes(data_act="/track/sensors/end"),
                ),
            ],
            className="act",
        ),
        html.P("", role="status", **attributes(data_sensors="said")),
        html.Div(className="drawing", **attributes(data_draw="pulses", aria_hidden="true")),
        html.Ul([], className="findings", **attributes(data_sensors="found")),
    )
