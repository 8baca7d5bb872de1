"""Tables, whose rows become cards on a narrow screen."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from unspool.app.parts.texts import attributes

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
