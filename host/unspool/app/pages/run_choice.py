"""Forms of the study pages: which runs, and how.

A form only leads to an address; forms.py says how.
"""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.components import extra, short_note, when, winding_text
from unspool.app.run_cache import Entry

SHOWN = 40  # runs to choose of; an older one can still be named in the address


def form(path: str, parts: Sequence[Component], button: str) -> html.Section:
    """The parts and a button that leads to `path` with what was chosen in them."""
    go = html.Button(button, id={"go": path}, className="go", n_clicks=0)
    return html.Section([*parts, go], className="choose")


def run_boxes(
    entries: Sequence[Entry], chosen: Sequence[str], legend: str, name: str = "run"
) -> Component:
    """A box a run, the newest first; the chosen ones are ticked."""
    listed = {entry.row.id for entry in entries}
    options = [{"label": _words(entry), "value": entry.row.id} for entry in entries]
    options += [{"label": f"Run {run}", "value": run} for run in chosen if run not in listed]
    boxes = dcc.Checklist(
        id={"field": name}, options=options, value=list(chosen), className="boxes"
    )
    return _fieldset(legend, boxes)


def run_choice(entries: Sequence[Entry], chosen: str, legend: str) -> Component:
    """One run, where the page is about what ran."""
    options = [(entry.row.id, _words(entry)) for entry in entries]
    if chosen not in dict(options):
        options.append((chosen, f"Run {chosen}"))
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


def number(name: str, label: str, value: float | None) -> Component:
    box = dcc.Input(
        id={"field": name}, type="number", value=value, step="any", min=0, className="number"
    )
    return html.Label([html.Span(label), box])


def text(name: str, label: str, value: str) -> Component:
    box = dcc.Input(id={"field": name}, type="text", value=value, className="text")
    return html.Label([html.Span(label), box])


def _fieldset(legend: str, part: Component) -> html.Fieldset:
    return html.Fieldset([html.Legend(legend), part], **extra(role="group"))


def _words(entry: Entry) -> str:
    """ "Run 12: Sandpiper, 3.50 turns on start, 5.30 turns on run, 25 Nov 2025, 14:03"."""
    row, subject = entry.row, entry.subject
    wound = f", {winding_text(subject.wound)}" if subject else ""
    note = f" ({short_note(row.builder_note)})" if row.builder_note else ""
    return f"Run {row.id}: {row.car or 'no car given'}{wound}, {when(row.started_at)}{note}"
