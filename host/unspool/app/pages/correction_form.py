"""Corrections on a run's page: the history for all, a form for those who may change things."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import NUMBER_BOX, attributes, local_time
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.car import Car
from unspool.render.words.corrections import change_words
from unspool.store import Correction, StoredRun

HEADING = "What was said of this run"


def correction_form(
    run: StoredRun, history: Sequence[Correction], car: Car | None, turns: Sequence[float]
) -> html.Section:
    """car: None if it is not known; then its winding cannot be corrected here.

    turns: on each tier of the car.
    """
    shown = _form(run, car, turns) if may_change.get() else [_ask_for_pin()]
    return html.Section([html.H2(HEADING), _history(history), *shown], className="correcting")


def _history(history: Sequence[Correction]) -> Component:
    if not history:
        return html.P("Nothing was corrected.")
    return html.Ul([_line(one) for one in history], className="history")


def _line(one: Correction) -> html.Li:
    """Guests need not know the names of those who may change things."""
    words = change_words(one.field, one.before, one.after)
    who = f", {one.who}" if may_change.get() else ""
    return html.Li([html.Span(f"{local_time(one.made_at)}{who}: ", className="quiet"), words])


def _form(run: StoredRun, car: Car | None, turns: Sequence[float]) -> list[Component]:
    tiers = zip(car.drum, turns, strict=True) if car else ()
    fields = [_number(f"turns:{t.name}", f"Turns on {t.name}", f"{n:.4g}") for t, n in tiers]
    save = attributes(data_correct=f"/attempts/{run.id}/correction", data_seen=str(run.revision))
    return [
        html.Div([*fields, *_measures(run), _tags(run)], className="row"),
        html.P(
            [
                html.Button("Save the correction", type="button", **save),
                html.Span("", role="status", **attributes(data_corrected="")),
            ]
        ),
    ]


def _measures(run: StoredRun) -> list[html.Label]:
    """An empty weight or circumference is the car file's."""
    given = (
        ("taped_m", "Distance by the tape, m", run.taped_m),
        ("timed_s", "Time by the stopwatch, s", run.timed_s),
        ("weight_g", "Weight in this run, g", run.weight_g),
        ("circumference_mm", "Rolling circumference, mm", run.circumference_mm),
    )
    return [
        _number(field, label, "" if value is None else f"{value:g}")
        for field, label, value in given
    ]


def _tags(run: StoredRun) -> html.Label:
    said = ", ".join(run.tags)
    box = dcc.Input(value=said, type="text", autoComplete="off")
    words = html.Span("Tags, with commas between them")
    return html.Label([words, box], **attributes(data_field="tags", data_was=said))


def _number(field: str, label: str, value: str) -> html.Label:
    """A box for a number. Only what differs from `data-was` is sent."""
    box = dcc.Input(value=value, **NUMBER_BOX)
    return html.Label([html.Span(label), box], **attributes(data_field=field, data_was=value))


def _ask_for_pin() -> html.P:
    return html.P(dcc.Link("Give the PIN to correct it", href=PIN_PATH, refresh=True))
