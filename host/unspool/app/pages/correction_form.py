"""Notes and corrections on an attempt's page: read by all, written by who may change things."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import NUMBER_BOX, attributes, button, fold, local_time
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.sheet_choices import Choice
from unspool.language import _, later, localised, many
from unspool.render.words.corrections import change_words
from unspool.said_faults import LONGEST_NOTE
from unspool.store import Correction, StoredRun

HEADING = later("Notes and corrections")


@dataclass(frozen=True)
class Correctable:
    """An attempt with what can be said of it. history: the oldest first.

    cars, floors: what it can be given; it has the first of each.
    """

    run: StoredRun
    history: Sequence[Correction]
    cars: Sequence[Choice]
    floors: Sequence[Choice]


def correction_form(of: Correctable, turns: Sequence[float] = ()) -> html.Section:
    """turns: on each tier of the car; none if they are not known."""
    shown = _form(of, turns) if may_change.get() else _look(of.run)
    parts = [html.H2(_(HEADING)), *shown, _history(of)]
    return html.Section(parts, className="correcting", id="correcting")


def _look(run: StoredRun) -> list[Component]:
    link = dcc.Link(_("Give the PIN to note or correct something"), href=PIN_PATH, refresh=True)
    return [html.P(run.builder_note or _("No note so far.")), html.P(link)]


def _form(of: Correctable, turns: Sequence[float]) -> list[Component]:
    run = of.run
    save = attributes(data_correct=f"/attempts/{run.id}/correction", data_seen=str(run.revision))
    words, say = _("Discard this attempt"), "yes"
    if run.discarded:
        words, say = _("Bring it back"), "no"
    away = html.Button(words, type="button", className="second", **save, **attributes(data_say=say))
    return [
        _note(run),
        html.Div([_tags(run), *_measures(run, ("taped_m", "timed_s"))], className="row"),
        fold(
            _("Correct the car, floor, winding, weight or wheel"),
            _sheets(of),
            *_all_turns(of.cars, turns),
            html.Div(_measures(run, ("weight_g", "circumference_mm")), className="row"),
        ),
        html.P([html.Button(_("Save"), type="button", **save), away], className="links"),
        html.P("", role="status", className="said", **attributes(data_corrected="")),
    ]


def _note(run: StoredRun) -> html.Label:
    box = dcc.Textarea(value=run.builder_note, maxLength=LONGEST_NOTE, rows=2, spellCheck=True)
    words = html.Span(_("What to remember; attempts can be compared by it"))
    return _labelled("note", words, box, run.builder_note)


def _tags(run: StoredRun) -> html.Label:
    said = ", ".join(run.tags)
    box = dcc.Input(value=said, type="text", autoComplete="off")
    return _labelled("tags", html.Span(_("Tags, with commas between them")), box, said)


def _measures(run: StoredRun, fields: Sequence[str]) -> list[html.Label]:
    """An empty weight or circumference is the car file's."""
    labels = {
        "taped_m": _("Distance by the tape, m"),
        "timed_s": _("Time by the stopwatch, s"),
        "weight_g": _("Weight in this attempt, g"),
        "circumference_mm": _("Rolling circumference, mm"),
    }
    values = {field: getattr(run, field) for field in fields}
    return [
        _number(field, labels[field], "" if value is None else localised(f"{value:g}"))
        for field, value in values.items()
    ]


def _sheets(of: Correctable) -> html.Div:
    boxes = [_select("car", _("Car"), of.cars), _select("track", _("Floor"), of.floors)]
    return html.Div(boxes, className="row")


def _select(field: str, label: str, choices: Sequence[Choice]) -> html.Label:
    now = choices[0].value
    options = [
        html.Option(one.words, value=one.value, **attributes(data_tiers="/".join(one.tiers)))
        for one in choices
    ]
    # Without a key, the box would still show what was chosen before it was saved.
    box = html.Select(options, key=f"{field}:{now}")
    return _labelled(field, html.Span(label), box, now)


def _all_turns(cars: Sequence[Choice], turns: Sequence[float]) -> list[html.Div]:
    """A row of fields for each drum that can be chosen; the script shows that of the car."""
    drums = list(dict.fromkeys(one.tiers for one in cars if one.tiers))
    rows = []
    for tiers in drums:
        own = tiers == cars[0].tiers
        known = turns if own and len(turns) == len(tiers) else [None] * len(tiers)
        fields = [
            _number(
                f"turns:{tier}",
                _("Turns on {tier}", tier=tier),
                "" if n is None else localised(f"{n:.4g}"),
            )
            for tier, n in zip(tiers, known, strict=True)
        ]
        data = attributes(data_drum="/".join(tiers))
        rows.append(html.Div(fields, className="row", hidden=not own, **data))
    return rows


def _number(field: str, label: str, value: str) -> html.Label:
    return _labelled(field, html.Span(label), dcc.Input(value=value, **NUMBER_BOX), value)


def _labelled(field: str, words: Component, box: Component, was: str) -> html.Label:
    """Only what differs from `data-was` is sent."""
    return html.Label([words, box], **attributes(data_field=field, data_was=was))


def _history(of: Correctable) -> Component:
    """The newest first. Guests need not know the names of those who may change things."""
    if not of.history:
        return html.P(_("Nothing was corrected so far."), className="quiet")
    lines = [_line(one) for one in reversed(of.history)]
    count = len(lines)
    undo = []
    if may_change.get():
        where = f"/attempts/{of.run.id}/undo"
        data = {"data_correct": where, "data_seen": str(of.run.revision), "data_undo": "yes"}
        undo = [html.P(button(_("Undo the last change"), **data))]
    summary = many("History: {count} change", "History: {count} changes", count)
    return fold(summary, *undo, html.Ul(lines, className="history"))


def _line(one: Correction) -> html.Li:
    words = change_words(one.field, one.before, one.after)
    who = f", {one.who}" if may_change.get() else ""
    return html.Li([html.Span(f"{local_time(one.made_at)}{who}: ", className="quiet"), words])
