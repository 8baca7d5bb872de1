"""How many edges a turn has, by what repeats every turn: no two slots are cut alike.

What a hand does to the speed is smooth from one edge to the next, what the slots do is not. So each
interval is set against what its neighbours give for it, and the number of edges after which these
differences come again is a turn.
"""

from __future__ import annotations

import numpy as np

from unspool.instrument.sensors.waves import Floats

FEWEST_TURNS = 3.0
LEAST, MOST = 4, 120  # edges a turn looked for
CLEARLY = 0.5  # of how unlike two turns are by chance
AS_GOOD = 1.4  # times the best; or else, of chance:
SURELY = 0.3
TOO_EVEN = 0.003  # of an interval; below it a hand's rhythm would be taken for the slots'
JOINED = (2.2, 4.5)  # a slot that is closed makes one interval of three
ALIKE = 0.6  # share of the long gaps that must come the same number of edges apart


def slot_pattern(time_s: Floats) -> int | None:
    """Edges after which the slots' pattern comes again, or None where it cannot be told.

    time_s: (n,) switchings of one sensor, the wheel turning one way.
    """
    if len(time_s) < FEWEST_TURNS * LEAST + 5:
        return None
    uneven = _unevenness(np.diff(time_s))
    if np.median(np.abs(uneven)) < TOO_EVEN:
        return None
    most = min(MOST, int(len(uneven) / FEWEST_TURNS))
    lags = np.arange(LEAST, most + 1, 2)
    if len(lags) < 3:
        return None
    unlike = np.array([np.median(np.abs(uneven[lag:] - uneven[:-lag])) for lag in lags])
    best = float(unlike.min())
    chance = float(np.median(unlike))
    if best >= CLEARLY * chance:
        return None
    likely = lags[unlike <= max(AS_GOOD * best, SURELY * chance)]
    whole_turns = int(lags[np.argmin(unlike)])
    return int(likely[whole_turns % likely == 0][0])


def _unevenness(interval_s: Floats) -> Floats:
    """How much longer each interval is than a cubic through its neighbours; (n - 4,).

    Slots and webs apart, as one may be wider than the other.
    """
    size = np.log(np.maximum(interval_s, 1e-6))
    near, far = size[1:-3] + size[3:-1], size[:-4] + size[4:]
    uneven: Floats = size[2:-2] - (4 * near - far) / 6
    for first in (0, 1):
        uneven[first::2] -= np.median(uneven[first::2])
    return uneven


def long_gap(time_s: Floats) -> int | None:
    """One gap in each turn is as long as three: a slot is closed. None where there is no such gap.

    Returns the edges from one to the next. time_s: as for slot_pattern.
    """
    interval = np.diff(time_s)
    if len(interval) < 2 * LEAST:
        return None
    around = np.stack([interval[:-4], interval[1:-3], interval[3:-1], interval[4:]])
    ratio = interval[2:-2] / np.maximum(np.median(around, axis=0), 1e-9)
    long = np.flatnonzero((ratio > JOINED[0]) & (ratio < JOINED[1]))
    apart = np.diff(long)
    apart = apart[(apart >= LEAST) & (apart <= MOST)]
    if len(apart) < 2:
        return None
    values, counts = np.unique(apart, return_counts=True)
    if counts.max() < 2 or counts.max() < ALIKE * len(apart):
        return None
    return int(values[np.argmax(counts)])
