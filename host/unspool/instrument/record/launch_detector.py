"""LaunchDetector: whether the wheel, coming forward, was let go or is turned by hand.

- A launch from a wound car is half a turn forward from where the winding ended.
- Without a winding (the board was switched on late), a launch is three turns forward of which the
  third is faster than the second. A wheel spun by hand, which only slows down, is none.
- With one sensor there is no winding to see; one_sensor.py says what else is asked.
- If the start cannot have been seen (edges lost, board just booted), three turns are enough.
"""

from __future__ import annotations

from unspool.instrument.record.one_sensor import sets_off

LAUNCH_TURNS = 0.5  # a wound car settles by less when it is put on the floor
UNSEEN_TURNS = 3  # as many as the comparison of the third with the second takes
FASTER = 0.95  # the third turn's time against the second's; the pull gives 0.8, a coast above 1


class LaunchDetector:
    """Positions in edges, times in ticks. low: furthest back since the last rest; low_at: when."""

    def __init__(self, sensors: int = 2) -> None:
        self._sensors = sensors
        self._awaited = False
        self.low = self.low_at = 0
        self._reached: list[int] = []  # when it first was 0, 1, 2 ... edges ahead of low
        self._start_unseen = True  # the wheel may have turned before the first edge that came

    def missed(self) -> None:
        """Edges are lost: the wheel may be in the middle of a run."""
        self._start_unseen = True

    def rest(self, low: int, position: int, now: int) -> None:
        """The wheel rests at `position`, and perhaps as far back as `low`."""
        self.low, self.low_at = low, now
        self._reached = [now] * (position - low + 1)
        self._start_unseen = False

    def expect(self, position: int, now: int) -> None:
        """Somebody says that the car is let go next."""
        self.rest(position, position, now)
        self._awaited = True

    def launched(self) -> None:
        self._awaited = False

    def edge(self, position: int, ticks: int) -> int | None:
        """How many edges it is ahead, if it never was as far since it was at its lowest."""
        ahead = position - self.low
        if ahead < 0 or not self._reached:
            self.low, self.low_at, self._reached = position, ticks, [ticks]
        elif ahead >= len(self._reached):
            self._reached.append(ticks)
            return ahead
        return None

    def is_launch(self, ahead: int, wound: bool, turn: int) -> bool:
        """Whether the edge that came `ahead` makes a launch; `turn`: edges of one."""
        if wound or self._awaited:
            return ahead >= LAUNCH_TURNS * turn
        if ahead != UNSEEN_TURNS * turn:
            return False
        return self._start_unseen or self._quickens(turn)

    def _quickens(self, turn: int) -> bool:
        one, two, three = (self._reached[turns * turn] for turns in (1, 2, 3))
        if self._sensors == 1 and not sets_off(self._reached, turn):
            return False
        return three - two < FASTER * (two - one)
