"""WheelTracker: where the encoder wheel is and since when it rests, from edges alone.

A sensor that rests on a slot's rim chatters: one edge forward, one back, for as long as it likes.
So the wheel counts as moved only when it is two edges away from where it last was known to be.
"""

from __future__ import annotations

MOVED = 2  # edges


class WheelTracker:
    """position counts edges since the board's boot, forward up; all times are board ticks."""

    def __init__(self) -> None:
        self.position = 0
        self.moved_at: int | None = None  # None before the first edge
        self.step = 0  # ticks between the last two moves
        self._anchor = 0
        self._settled: tuple[int | None, int] = (None, 0)  # its last move and place at that rest

    def edge(self, ticks: int, direction: int) -> None:
        self.position += direction
        if self.moved_at is None:
            self.moved_at = ticks
        elif abs(self.position - self._anchor) >= MOVED:
            self._anchor = self.position
            self.step = ticks - self.moved_at
            self.moved_at = ticks

    def missed(self, ticks: int) -> None:
        """Edges before this time are lost: it turned until now, nobody knows how far."""
        self.moved_at, self._anchor = ticks, self.position

    def seen_at_rest(self, ticks: int) -> None:
        """The wheel rests at this time, and may have turned before the first edge that came."""
        if self.moved_at is None:
            self.moved_at = ticks

    def settle(self) -> None:
        """It rests for good: the next edge is the first of a move, or chatter."""
        self._settled = (self.moved_at, self.position)

    @property
    def is_first_of_a_move(self) -> bool:
        """Whether it left its rest by one edge: chatter, or the start of what comes next."""
        moved_at, position = self._settled
        return self.moved_at == moved_at and self.position != position

    @property
    def rests_between(self) -> tuple[int, int]:
        """Where it rests: one edge away from the last move may already belong to the next."""
        return min(self._anchor, self.position), max(self._anchor, self.position)

    def rested(self, now: int) -> int:
        """Ticks since it last moved."""
        return 0 if self.moved_at is None else now - self.moved_at
