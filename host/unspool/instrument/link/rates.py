"""Which rate a board on a cable talks at: the one at which a whole frame comes.

A board says hello once a second by itself, so each rate is tried for a while in turn.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from unspool.instrument.wire.frames import Frame, FrameReader

RATES = (115_200, 57_600)  # of boards at 16 MHz and at 8 MHz
PATIENCE_S = 2.5  # a board that was reset starts within two seconds


class RateFinder:
    """`rate` is the one to listen at now."""

    def __init__(
        self, rates: tuple[int, ...] = RATES, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._rates, self._clock = rates, clock
        self._at = 0
        self.begin()

    def begin(self) -> None:
        """The port was opened. The rate that was right last time is the first to try."""
        self._sure = False
        self._listen()

    def _listen(self) -> None:
        self._since, self._reader = self._clock(), FrameReader()

    @property
    def rate(self) -> int:
        return self._rates[self._at]

    def heard(self, data: bytes) -> bool:
        """What came at this rate, nothing included. Returns whether to listen at another now."""
        if self._sure:
            return False
        self._sure = any(isinstance(item, Frame) for item in self._reader.feed(data))
        if self._sure or self._clock() - self._since < PATIENCE_S:
            return False
        self._at = (self._at + 1) % len(self._rates)
        self._listen()
        return True
