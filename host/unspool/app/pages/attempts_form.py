"""What attempts measure: the circumference of a car's wheel, and the heights of a floor."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.attempt_names import called
from unspool.app.floor_estimate import PATH as FLOOR_PATH
from unspool.app.parts import NUMBER_BOX, attributes, fold
from unspool.app.permissions import may_change
from unspool.app.rolling import PATH, USUAL_TAPE_MM
from unspool.language import _, later
from unspool.shelved import Shelved
from unspool.store import RunRow, Store

MOST_SHOWN = 12
SINCE = later("First day of the attempts that get it, such as 2026-05-01")


def roll_out_part(store: Store, car: Shelved) -> Component:
    """The newest attempts of the car, each with a field for the length of a push."""
    ids = set(car.runs)
    rows = [row for row in store.runs() if row.id in ids and not row.discarded]
    rows.sort(key=lambda row: row.started_at, reverse=True)
    how = html.P(
        _(
            "Tape two marks on the floor, 5 m apart or more. Record pushes by hand from mark to"
            " mark, unwound, with the weight in its place: each becomes an attempt. Then type the"
            " taped length beside each of them."
        )
    )
    if not may_change.get():
        return html.Section([])
    if not rows:
        body: list[Component] = [how, html.P(_("This car has no attempt yet."), className="quiet")]
    else:
        body = [how, *_form(car, rows[:MOST_SHOWN])]
    return fold(_("Roll it out: measure how far the wheel rolls in one turn"), *body)


def floor_part(store: Store, name: str) -> Component:
    """The newest attempts, each with a field for where it began on this floor."""
    rows = [row for row in store.runs() if row.car and not row.discarded]
    rows.sort(key=lambda row: row.started_at, reverse=True)
    if not may_change.get() or not rows:
        return html.Section([])
    how = _(
        "Type 0 beside each attempt that ran on this floor from the launch line. If it ran back,"
        " type at how many metres it began. Attempts in both directions separate slopes from"
        " losses best."
    )
    estimate = attributes(data_roll_out=FLOOR_PATH, data_name=name, data_write="")
    stop = attributes(data_stop="")
    return fold(
        _("Let attempts show how it rises"),
        html.Div(
            [
                html.P(how),
                html.Div([_push(row) for row in rows[:MOST_SHOWN]], className="pushes"),
                html.P(
                    [
                        html.Button(_("Estimate and save this floor"), type="button", **estimate),
                        html.Button(
                            _("Stop"), type="button", hidden=True, className="second", **stop
                        ),
                    ],
                    className="links",
                ),
                html.P("", role="status", className="said", **attributes(data_rolled="")),
            ],
            className="rolling",
        ),
    )


def _form(car: Shelved, rows: list[RunRow]) -> list[Component]:
    ask, write = (
        attributes(data_roll_out=PATH, data_name=car.name, data_write=word) for word in ("", "yes")
    )
    return [
        html.Div(
            [
                html.Div([_push(row) for row in rows], className="pushes"),
                _box(_("How exactly you stop at a mark"), "mm", "tape_sd_mm", USUAL_TAPE_MM),
                _box(_(SINCE), "", "since", ""),
                html.P(
                    [
                        html.Button(_("Estimate"), type="button", className="second", **ask),
                        html.Button(
                            _("Write it into the car and its attempts"), type="button", **write
                        ),
                    ],
                    className="links",
                ),
                html.P("", role="status", className="said", **attributes(data_rolled="")),
            ],
            className="rolling",
        )
    ]


def _push(row: RunRow) -> html.Div:
    return _box(called(row.id, row.attempt), "m", f"push:{row.id}", "")


def _box(label: str, unit: str, name: str, value: str) -> html.Div:
    words = [html.Span(label, className="name"), html.Span(unit, className="unit")]
    box = dcc.Input(value=value, **NUMBER_BOX)
    return html.Div([html.Label([*words, box], **attributes(data_rolling=name))], className="field")
