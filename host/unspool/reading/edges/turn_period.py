"""How many edges a turn gives: the period with which the slots' unevenness repeats.

No two slots are cut alike, and their unevenness comes back every turn. What the wheel's own motion
does to the edges is smooth and does not come back. So edges that are a whole turn apart are uneven
alike, and others are not. Repetition measures that for any period, and two questions build on it:

- What is the period? Asked of a wheel that a hand turns, where nothing is known (edges_a_turn).
- Is a stated number wrong? Asked of a run (likelier_number). A period is only believed if none of
  its divisors does as well. A disc of equal slots whose gaps are narrower than its teeth repeats
  every second edge and says nothing. Half the stated number is believed only if the other half of
  the statement adds nothing.
"""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FEWEST_TURNS = 3.0  # two differences at each boundary: one alone may be a chance

# A wheel turned by hand. Discs of fewer or of more edges are not built.
LEAST, MOST = 4, 120
CLEARLY = 0.5  # of how unlike two edges are by chance, the median over all periods
# The most alike period may be several turns. One turn is its smallest divisor that does about as
# well: so many times the best one, or by so small a share of chance.
AS_GOOD, SURELY = 1.4, 0.3
TOO_EVEN = 0.003  # of an interval; below it a hand's rhythm would be taken for the slots'

# A run, and a stated number.
MISCOUNTS = (1, 2)  # edges that a count by eye is wrong by
BETTER = 0.5  # of the variance that a wrong period leaves; a right one leaves the jitter alone
# Of the logarithm of a ratio of two variances: a run asks for dozens of them, and once for a half.
SURE_SDS, ALIKE_SDS = 5.0, 2.0
# The variance of a squared median over that of a sum of squares (of Gaussians, asymptotically).
_MEDIAN_EFFICIENCY = 0.37
_NOTHING = 1e-15  # of a slot: equal to the last digit


class Repetition:
    """How unlike edges are that are a number of edges apart.

    number: (n,) rising integers, one an edge; gaps are edges that were missed. uneven: (n,) what
    each edge differs from a smooth motion. Medians, so that a few wrong edges do not count.
    """

    def __init__(self, number: NDArray[np.int64], uneven: Array) -> None:
        self.edges = len(number)
        self._by_number = np.full(int(number[-1] - number[0]) + 1, np.nan)
        self._by_number[number - number[0]] = uneven
        self._known: dict[int, tuple[float, int]] = {}

    def spread(self, period: int) -> float:
        """The median difference of edges `period` apart; inf where there are none."""
        return self._measured(period)[0]

    def turned(self, period: int) -> bool:
        """Whether there are edges of turns enough, if a turn has so many."""
        return self.edges >= FEWEST_TURNS * period

    def better(self, period: int, than: int) -> bool:
        """Whether edges are surely more alike after one period than after another."""
        ratio, sd = self._log_ratio(period, than)
        return ratio < min(log(BETTER), -SURE_SDS * sd)

    def as_good(self, period: int, as_: int) -> bool:
        """Whether edges are as alike after one period as after another, within the error."""
        ratio, sd = self._log_ratio(period, as_)
        return ratio < ALIKE_SDS * sd

    def stands(self, period: int) -> bool:
        """Whether a period was turned often enough, and none of its divisors does as well."""
        divisors = [d for d in range(1, period // 2 + 1) if period % d == 0]
        return self.turned(period) and all(self.better(period, d) for d in divisors)

    def _log_ratio(self, period: int, than: int) -> tuple[float, float]:
        """Logarithm of the ratio of the two variances, and its sd."""
        (one, n), (other, m) = self._measured(period), self._measured(than)
        ratio = 2.0 * np.log(max(one, _NOTHING) / max(other, _NOTHING))
        sd = np.sqrt(2.0 / _MEDIAN_EFFICIENCY * (1.0 / max(n, 1) + 1.0 / max(m, 1)))
        return float(ratio), float(sd)

    def _measured(self, period: int) -> tuple[float, int]:
        if period not in self._known:
            apart = np.abs(self._by_number[period:] - self._by_number[:-period])
            apart = apart[~np.isnan(apart)]
            self._known[period] = (float(np.median(apart)) if len(apart) else np.inf), len(apart)
        return self._known[period]


def likelier_number(repetition: Repetition, stated: int) -> int | None:
    """The number of edges a turn that the pattern supports against `stated`; None if it does not.

    stated: edges a turn, as the car file has it.
    """
    if not repetition.turned(stated):
        return None
    off = [step * sign for sign in (1, -1) for step in MISCOUNTS]
    halves = [stated // 2] if stated % 2 == 0 else []
    others = [stated * 2, *(stated + step for step in off), *halves]
    sound = [p for p in others if p >= 3 and repetition.stands(p)]
    better = [p for p in sound if repetition.better(p, stated)]
    if better:
        return min(better, key=repetition.spread)
    return next((p for p in halves if p in sound and repetition.as_good(p, stated)), None)


def edges_a_turn(time_s: Array) -> int | None:
    """Edges after which the slots' pattern repeats, or None if it is not clear.

    time_s: (n,) switchings of one sensor, the wheel turning one way, none of them missed. Even
    numbers only: a slot has two edges.
    """
    if len(time_s) < FEWEST_TURNS * LEAST + 5:
        return None
    uneven = _unevenness(np.diff(time_s))
    if np.median(np.abs(uneven)) < TOO_EVEN:
        return None
    most = min(MOST, int(len(uneven) / FEWEST_TURNS))
    periods = np.arange(LEAST, most + 1, 2)
    if len(periods) < 3:
        return None
    repetition = Repetition(np.arange(len(uneven)), uneven)
    spread = np.array([repetition.spread(period) for period in periods.tolist()])
    best, chance = float(spread.min()), float(np.median(spread))
    if best >= CLEARLY * chance:
        return None
    likely = periods[spread <= max(AS_GOOD * best, SURELY * chance)]
    whole_turns = int(periods[np.argmin(spread)])
    return int(likely[whole_turns % likely == 0][0])


def _unevenness(interval_s: Array) -> Array:
    """How much longer each interval is than a cubic through its neighbours; (n - 4,).

    Slots and webs apart, as one may be wider than the other.
    """
    size = np.log(np.maximum(interval_s, 1e-6))
    near, far = size[1:-3] + size[3:-1], size[:-4] + size[4:]
    uneven: Array = size[2:-2] - (4 * near - far) / 6
    for first in (0, 1):
        uneven[first::2] -= np.median(uneven[first::2])
    return uneven
