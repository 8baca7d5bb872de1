"""Page: what an address shows."""

from __future__ import annotations

from dataclasses import dataclass

from dash.development.base_component import Component


@dataclass(frozen=True)
class Page:
    """place is the entry of the navigation that the page belongs to, "" for none of them."""

    title: str
    body: Component
    place: str = ""
