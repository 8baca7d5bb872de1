"""What the run detector remembers of the run under way, besides its edges."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.store import Winding


@dataclass
class RunUnderWay:
    """winding: None if none was seen. furthest: in edges, of the wheel.

    lost_before: edges lost between the rest before it and its first edge. reported: edges given in
    a RunGrew.
    """

    winding: Winding | None
    furthest: int
    lost_before: int = 0
    reported: int = 0
