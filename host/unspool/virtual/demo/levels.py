"""SensorLevels: what two sensors over a slotted disc show, edge of A by edge of A.

Turning forwards shows (A, B) as 00, 10, 11, 01: B follows A by a quarter of a slot.
"""

from __future__ import annotations

from unspool.instrument.wire.table import SAMPLE_A, SAMPLE_B

LONGEST_QUARTER_S = 0.05  # after a rest


class SensorLevels:
    def __init__(self) -> None:
        self._a = self._b = False
        self._last_s = 0.0

    @property
    def now(self) -> int:
        return SAMPLE_A * self._a | SAMPLE_B * self._b

    def turned(self, at_s: float, direction: int) -> list[tuple[float, int]]:
        """The changes of an edge of A at this time: B's, half an edge before it, then A's."""
        changes = []
        wanted = self._a if direction > 0 else not self._a
        if wanted != self._b:
            self._b = wanted
            half_s = min((at_s - self._last_s) / 2.0, LONGEST_QUARTER_S)
            changes.append((at_s - half_s, self.now))
        self._a = not self._a
        self._last_s = at_s
        return [*changes, (at_s, self.now)]
