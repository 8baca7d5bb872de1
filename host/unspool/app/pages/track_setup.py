"""Track before a recording: which car, floor and board; and whether the sensors see the disc.

assets/setup.js fills in what can be chosen, again and again, as boards come and go.
"""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import attributes, button, empty, fold
from unspool.app.permissions import holds
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rights import Right
from unspool.instrument.firmware import BOARDS
from unspool.language import _, later

STEPS = (("car", later("Car")), ("floor", later("Floor")), ("board", later("Board")))


def setup(last_run: str, session: str) -> html.Div:
    """last_run: the id of the attempt that was recorded last, "" if there was none."""
    body = [html.H1(_("Start a recording")), _last(last_run), *_form()]
    if not holds(Right.STATION):
        body = [_guest()]
    return html.Div(body, id="track", **attributes(data_phase="setup", data_session=session))


def setup_beside() -> list[Component]:
    """Below the boards that are recorded already: how to add one."""
    if not holds(Right.STATION):
        return []
    return [html.H2(_("Record another board")), *_form()]


def _guest() -> Component:
    return empty(
        _("Nothing is recorded now"),
        _("This page follows as soon as a recording starts."),
        dcc.Link(_("Give the PIN to start one"), href=PIN_PATH, refresh=True),
    )


def _last(run_id: str) -> Component:
    link = html.A(_("See the last attempt"), href=f"/attempts/{run_id}" if run_id else None)
    return html.P([link], className="outcome" if run_id else "unseen")


def _form() -> list[Component]:
    start = unready(_("Start the recording"), "/track/start")
    every = html.Button(
        _("Record every board that is here"),
        type="button",
        className="second",
        hidden=True,
        **attributes(data_act="/track/start-all"),
    )
    said = html.P("", role="status", **attributes(data_said=""))
    return [
        html.Form(
            [choice(name, _(legend)) for name, legend in STEPS],
            className="setup",
            **attributes(aria_label=_("What to record"), data_setup=""),
        ),
        html.Div([start, every, said], className="act"),
        _sensors(),
        _firmware(),
    ]


def unready(text: str, act: str) -> html.Button:
    """A button that setup.js enables as soon as there is something to choose."""
    return html.Button(text, type="button", disabled=True, **attributes(data_act=act))


def choice(name: str, legend: str) -> Component:
    parts: list[Component] = [
        html.Legend(legend),
        html.Div(className="boxes", **attributes(data_choice=name)),
        html.P("", role="status", className="quiet", **attributes(data_none=name)),
    ]
    if name == "car":
        parts.append(html.P(dcc.Link(_("Describe a car"), href="/cars"), className="links"))
    if name == "board":
        look = attributes(data_act="/track/look")
        parts.append(
            html.Button(_("Look for radio boards"), type="button", className="second", **look)
        )
    return html.Fieldset(parts)


def _sensors() -> Component:
    return fold(
        _("Check the sensors"),
        html.P(
            _(
                "Turn the driven wheel by hand in the direction in which the car runs, with no"
                " string wound. Both lines must step up and down, one a little after the other."
            )
        ),
        html.Div(
            [
                button(_("Begin the check"), data_act="/track/sensors"),
                html.Button(
                    _("End it"),
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


def _firmware() -> Component:
    """Writing takes a minute, so it shows how far it is. The kind is for a board without ours."""
    kinds = [html.Option(_("Find it out"), value="", selected=True)]
    kinds += [html.Option(f"{_(one.chip)} ({one.name})", value=one.name) for one in BOARDS.values()]
    lose = attributes(data_flash="lose")
    given_up = html.Button(
        _("Give up the edges on it"), type="button", className="second", hidden=True, **lose
    )
    return fold(
        _("Put the firmware on a board"),
        html.P(
            _(
                "Plug the board in by its cable, and choose it above. This replaces whatever"
                " program is on it, and takes about a minute. Leave the cable in until it is done."
            )
        ),
        html.Label(
            [html.Span(_("Which board it is"), className="name"), html.Select(kinds, name="kind")]
        ),
        html.Div(
            [button(_("Put the firmware on it"), data_flash="keep"), given_up], className="act"
        ),
        html.P("", role="status", **attributes(data_firmware="said")),
        html.Progress(value="0", max="1", hidden=True, **attributes(data_firmware="share")),
    )
