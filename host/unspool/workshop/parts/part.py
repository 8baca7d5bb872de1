"""A part: the panels that it is made of, and what its builder must know."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.workshop.panel import Panel, checked


@dataclass(frozen=True)
class Part:
    panels: tuple[Panel, ...]
    notes: tuple[str, ...]

    def __post_init__(self) -> None:
        for panel in self.panels:
            checked(panel)
