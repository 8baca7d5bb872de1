"""After how many edges the slots' pattern really repeats: whether the disc has as many as is said.

Hand-cut slots are uneven, and the unevenness comes back every turn: taken out with the right period
it leaves the jitter, with a wrong one it stays. What counts is the variance left by a pattern of a
period, per degree of freedom. A period is only believed when none of its divisors does as well (a
disc of equal slots whose gaps are narrower than its teeth repeats every second edge, and tells
nothing), and one that is half the claimed one only when the other half of the claim adds nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.reading.motion.smooth import smooth
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

OFF = (1, 2)  # edges that a count by eye is wrong by
FEWEST_TURNS = 3.0
BETTER = 0.5  # variance left over that with the claimed period, or with a divisor
AS_GOOD = 1.1
SURE_SDS = 5.0  # of the logarithm of a ratio of two variances


def likelier_pulses(motion: Motion, claimed: int) -> int | None:
    """The number of edges a turn that the pattern speaks for, None where it does not speak."""
    part = slice(motion.spun, motion.way_out)
    slot = motion.slot[part]
    others = [claimed * 2, *(claimed + off for off in OFF), *(claimed - off for off in OFF)]
    halves = [claimed // 2] if claimed % 2 == 0 else []
    if len(slot) < FEWEST_TURNS * claimed:
        return None
    left = _Left.of(motion.time_s[part], slot)
    sound = [p for p in (*others, *halves) if p >= 3 and left.stands(p)]
    better = [p for p in sound if left.better(p, claimed)]
    if better:
        return min(better, key=left.variance)
    return next((p for p in halves if p in sound and left.as_good(p, claimed)), None)


class _Left:
    """What patterns of several periods leave of the edges' places about a smooth motion."""

    def __init__(self, slot: NDArray[np.int64], off: Array) -> None:
        self.slot, self.off = slot, off
        self.known: dict[int, float] = {}

    @classmethod
    def of(cls, time_s: Array, slot: NDArray[np.int64]) -> _Left:
        return cls(slot, slot - smooth(time_s, slot, 1).position)

    def variance(self, period: int) -> float:
        if period not in self.known:
            place = np.mod(self.slot, period)
            count = np.maximum(np.bincount(place, minlength=period), 1)
            mean = np.bincount(place, self.off, period) / count
            rest = self.off - mean[place]
            self.known[period] = float(rest @ rest) / self._freedom(period)
        return self.known[period]

    def better(self, period: int, than: int) -> bool:
        ratio = self.variance(period) / max(self.variance(than), 1e-30)
        spread = np.sqrt(2.0 / self._freedom(period) + 2.0 / self._freedom(than))
        return bool(ratio < BETTER and np.log(ratio) < -SURE_SDS * spread)

    def as_good(self, period: int, as_: int) -> bool:
        return self.variance(period) < AS_GOOD * self.variance(as_)

    def stands(self, period: int) -> bool:
        """Whether a period was rolled often enough, and none of its divisors does as well."""
        if len(self.slot) < FEWEST_TURNS * period:
            return False
        divisors = [d for d in range(1, period // 2 + 1) if period % d == 0]
        return all(self.better(period, d) for d in divisors)

    def _freedom(self, period: int) -> float:
        return float(max(len(self.slot) - period, 1))
