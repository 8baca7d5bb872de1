"""Parts of the forms on the study pages. A form only leads to an address; see forms.py."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import Field, attributes, field, short_note, winding_text
from unspool.app.query import Query
from unspool.app.run_cache import ListedRun, RunCache
from unspool.errors import InputError
from unspool.language import localised
from unspool.render.words.values import as_sentence

SHOWN = 40  # runs in a choice; an older one can still be named in the address
AT_HAND = 12  # the newest attempts of a car that a page takes if nobody chooses


def form(path: str, parts: Sequence[Component], button: str) -> html.Section:
    """The parts, and a button that leads to `path` with their values."""
    go = html.Button(button, id={"go": path}, className="go", n_clicks=0)
    return html.Section([*parts, go], className="choose")


def at_hand(entries: Sequence[ListedRun]) -> tuple[str, ...]:
    """The newest attempts of the car that ran last, newest first, as far as they can be read."""
    fit = [entry for entry in entries if entry.measured]
    return tuple(e.row.id for e in fit if e.row.car == fit[0].row.car)[:AT_HAND]


def run_boxes(
    runs: RunCache,
    entries: Sequence[ListedRun],
    chosen: Sequence[str],
    legend: str,
    name: str = "run",
) -> Component:
    """A box for each run, the newest first; the chosen ones are ticked."""
    listed = {entry.row.id for entry in entries}
    options = [{"label": _words(entry), "value": entry.row.id} for entry in entries]
    options += [{"label": runs.name(run), "value": run} for run in chosen if run not in listed]
    boxes = dcc.Checklist(
        id={"field": name}, options=options, value=list(chosen), className="boxes"
    )
    return _fieldset(legend, boxes)


def run_choice(runs: RunCache, entries: Sequence[ListedRun], chosen: str, legend: str) -> Component:
    """A choice of one run, for a page about its car."""
    options = [(entry.row.id, _words(entry)) for entry in entries]
    if chosen not in dict(options):
        options.append((chosen, runs.name(chosen)))
    return one_of("run", legend, options, chosen)


def one_of(name: str, legend: str, options: Sequence[tuple[str, str]], chosen: str) -> Component:
    """One of (value, words)."""
    radio = dcc.RadioItems(
        id={"field": name},
        options=[{"label": words, "value": value} for value, words in options],
        value=chosen,
        className="boxes",
    )
    return _fieldset(legend, radio)


def number(query: Query, name: str, label: str, usual: float | None = None) -> Component:
    """A field with what was typed into it, right or wrong, or else the usual number."""
    known, error = "" if usual is None else localised(f"{usual:g}"), ""
    try:
        query.asked(name, label)
    except InputError as fault:
        error = as_sentence(str(fault))
    return field(Field(name, label, query.text(name) or known, error=error))


def text(name: str, label: str, value: str) -> Component:
    return field(Field(name, label, value, number=False))


def _fieldset(legend: str, part: Component) -> html.Fieldset:
    return html.Fieldset([html.Legend(legend), part], **attributes(role="group"))


def _words(entry: ListedRun) -> str:
    """ "Sandpiper, 25 Nov, 1st: 3.50 turns on start, 5.30 turns on run (new string)"."""
    row, run = entry.row, entry.measured
    wound = f": {winding_text(run.wound)}" if run else ""
    note = f" ({short_note(row.builder_note)})" if row.builder_note else ""
    return f"{entry.name}{wound}{note}"
