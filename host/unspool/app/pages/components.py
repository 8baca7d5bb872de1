"""Parts that several pages share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

import plotly.graph_objects as go
from dash import dcc, html
from dash.development.base_component import Component

from unspool.render.html.saving import CONFIG, KINDS, file_name, save_word
from unspool.render.words.units import quantity

LONGEST_SHORT = 60  # characters
Cell = str | Component
Cells = Sequence[Cell]


def table(caption: str, head: Sequence[str], rows: Sequence[Cells], kind: str = "") -> html.Table:
    """A table whose rows become cards on a narrow screen. The first cell heads its row.

    The roles are written out because browsers forget them if a table is laid out as cards.
    """
    titles = [html.Th(h, scope="col", role="columnheader") for h in head]
    return html.Table(
        [
            html.Caption(caption),
            html.Thead(html.Tr(titles, role="row"), role="rowgroup"),
            html.Tbody([_row(head, cells) for cells in rows], role="rowgroup"),
        ],
        role="table",
        className=f"sheet {kind}".strip(),
    )


def _row(head: Sequence[str], cells: Cells) -> html.Tr:
    first, *others = cells
    named = zip(head[1:], others, strict=True)
    return html.Tr(
        [
            html.Th(first, scope="row", role="rowheader"),
            *(html.Td(cell, role="cell", **attributes(data_head=name)) for name, cell in named),
        ],
        role="row",
    )


def picture(figure: go.Figure, caption: str, what: str, of: Sequence[str]) -> html.Figure:
    """A picture that can be zoomed and saved.

    what: what it shows, in a word. of: the car and the run; both go into the name of a saved file.
    """
    return html.Figure(
        [
            dcc.Graph(
                id=f"picture-{what}",
                figure=figure,
                responsive=True,
                style={"height": figure.layout.height},
                config=CONFIG,
            ),
            html.Figcaption(caption),
            save_buttons(what, of),
        ]
    )


def save_buttons(what: str, of: Sequence[str]) -> html.Div:
    """Buttons for the picture in the same figure; the script of `render.html` serves them."""
    file = file_name(*of, what)
    return html.Div(
        [
            *(
                html.Button(
                    save_word(kind),
                    type="button",
                    **attributes(
                        data_save=kind, data_name=file, aria_label=f"{save_word(kind)}: {what}"
                    ),
                )
                for kind in KINDS
            ),
            html.Span("", role="status", **attributes(data_saved="")),
        ],
        className="save",
    )


def local_time(moment: datetime) -> str:
    """The moment on this computer's clock: "25 Nov 2025, 14:03"."""
    local = moment.astimezone()
    return f"{local.day} {local:%b %Y, %H:%M}"


def short_note(note: str) -> str:
    """The note, cut to a line of a list."""
    words = " ".join(note.split())
    return words if len(words) <= LONGEST_SHORT else words[: LONGEST_SHORT - 3].rstrip() + "..."


def winding_text(wound: Iterable[tuple[str, float]]) -> str:
    """ "3.50 turns on start, 5.30 turns on run"."""
    return ", ".join(f"{quantity(turns, 'turns')} on {name}" for name, turns in wound)


def attributes(**attributes: str) -> dict[str, Any]:
    """aria_label="x" as the keyword argument aria-label, as Dash wants it."""
    return {name.replace("_", "-"): text for name, text in attributes.items()}


def empty(headline: str, *steps: Cell) -> html.Section:
    """What to do if there is nothing to show yet."""
    return html.Section([html.H1(headline), *(html.P(step) for step in steps)], className="empty")


def command(text: str) -> html.Code:
    return html.Code(text)
