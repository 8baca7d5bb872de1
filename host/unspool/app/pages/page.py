"""Page: what an address shows."""

from __future__ import annotations

from dataclasses import dataclass

from dash.development.base_component import Component


@dataclass(frozen=True)
class Page:
    """place is the page's entry in the navigation, "" if it has none.

    pending: the content is still being made, so the browser asks for the page again.
    """

    title: str
    body: Component
    place: str = ""
    pending: bool = False
