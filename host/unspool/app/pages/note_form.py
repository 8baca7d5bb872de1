"""The builder's note on a run's page: read by all, written by who may change things."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.parts import attributes
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.said_faults import LONGEST_NOTE
from unspool.store import StoredRun


def note_form(run: StoredRun) -> html.Section:
    shown = _field(run) if may_change.get() else _look(run)
    return html.Section([html.H2("Your note"), *shown], className="noting")


def _field(run: StoredRun) -> list[html.P | html.Label | dcc.Textarea]:
    return [
        html.Label("What to remember of this run; runs can be compared by it", htmlFor="note"),
        dcc.Textarea(
            id="note", value=run.builder_note, maxLength=LONGEST_NOTE, rows=2, spellCheck=True
        ),
        html.P(
            [
                html.Button(
                    "Save the note",
                    type="button",
                    **attributes(data_note=f"/attempts/{run.id}/note"),
                ),
                html.Span("", role="status", **attributes(data_noted="")),
            ]
        ),
    ]


def _look(run: StoredRun) -> list[html.P]:
    link = dcc.Link("Give the PIN to write a note", href=PIN_PATH, refresh=True)
    return [html.P(run.builder_note or "None so far."), html.P(link)]
