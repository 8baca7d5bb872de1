"""A fold: what a page shows only if it is asked to."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component


def fold(summary: str, *children: Component | str, opened: bool = False) -> html.Details:
    return html.Details(
        [html.Summary(summary), html.Div(list(children), className="folded")],
        open=opened,
        className="fold",
    )
