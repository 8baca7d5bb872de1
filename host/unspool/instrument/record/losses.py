"""Losses: edges that are gone for good, and to which run they belong.

A gap may hide a launch, the end of a run, or a whole run with its winding. So it belongs to what
follows it, unless the wheel is seen to rest after it.
"""

from __future__ import annotations

from unspool.instrument.wire.decoded import EdgeGap


class Losses:
    """`now`: edges lost since the last edge that came."""

    def __init__(self) -> None:
        self.now = 0
        self._since_rest: list[tuple[int, int]] = []  # ticks of the next edge, edges lost

    def add(self, gap: EdgeGap) -> None:
        self.now += gap.count

    def take(self, ticks: int) -> None:
        """Another edge came at these ticks: what was lost belongs to what it belongs to."""
        self._since_rest.append((ticks, self.now))
        self.now = 0

    def settle(self) -> None:
        """The wheel rests: what was lost before it is no matter of what comes next."""
        self._since_rest.clear()

    @property
    def since_rest(self) -> int:
        """Edges lost since the last rest, those that another edge followed."""
        return sum(lost for _, lost in self._since_rest)

    def after(self, ticks: int) -> tuple[int, int]:
        """Edges lost since the last rest and after `ticks`; the ticks of the edge that followed."""
        late = [(at, lost) for at, lost in self._since_rest if at >= ticks]
        return sum(lost for _, lost in late), late[-1][0] if late else ticks
