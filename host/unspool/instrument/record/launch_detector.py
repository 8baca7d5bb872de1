"""Climb: how far and how fast the wheel came forward from where it was furthest back."""

from __future__ import annotations

FASTER = 0.95  # the third turn's time against the second's


class Climb:
    """Positions in edges, times in ticks. low: furthest back since the last rest; low_at: when."""

    def __init__(self) -> None:
        self.low = self.low_at = 0
        self._reached: list[int] = []  # when it first was 0, 1, 2 ... edges ahead of low

    def rest(self, low: int, position: int, now: int) -> None:
        """The wheel rests at `position`, and perhaps as far back as `low`."""
        self.low, self.low_at = low, now
        self._reached = [now] * (position - low + 1)

    def edge(self, position: int, ticks: int) -> int | None:
        """How many edges it is ahead, where it never was as far since it was at its lowest."""
        ahead = position - self.low
        if ahead < 0 or not self._reached:
            self.low, self.low_at, self._reached = position, ticks, [ticks]
        elif ahead >= len(self._reached):
            self._reached.append(ticks)
            return ahead
        return None

    def quickens(self, turn: int) -> bool:
        """Whether the third turn, of `turn` edges, was faster than the second."""
        one, two, three = (self._reached[turns * turn] for turns in (1, 2, 3))
        return three - two < FASTER * (two - one)
