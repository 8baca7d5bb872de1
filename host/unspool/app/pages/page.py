"""Page: what an address shows."""

from __future__ import annotations

from dataclasses import dataclass

from dash.development.base_component import Component


@dataclass(frozen=True)
class Page:
    """place is the entry of the navigation that the page belongs to, "" for none of them.

    pending: what the address asks for is still being made, so the page is to be asked for again.
    """

    title: str
    body: Component
    place: str = ""
    pending: bool = False
