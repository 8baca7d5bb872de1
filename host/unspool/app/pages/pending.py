"""What a page shows while its work is under way."""

from __future__ import annotations

from dash import html

from unspool.app.pages.page import Page


def pending_page(title: str, doing: str, place: str) -> Page:
    """The page is asked for again until it is done."""
    body = html.Section(
        [html.H1(title), html.P(f"Working on it: {doing}.", role="status")], className="pending"
    )
    return Page(title, body, place, pending=True)
