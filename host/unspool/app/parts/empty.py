"""What a page shows if there is nothing to show yet, or nothing at all."""

from __future__ import annotations

from dash import html

from unspool.app.parts.table import Cell


def empty(headline: str, *steps: Cell) -> html.Section:
    """What to do, in some short paragraphs."""
    return html.Section([html.H1(headline), *(html.P(step) for step in steps)], className="empty")


def command(text: str) -> html.Code:
    return html.Code(text)
