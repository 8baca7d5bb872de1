"""A slot that is closed, or a web broken out: one gap in each turn is as long as three."""

from __future__ import annotations

import numpy as np

from unspool.instrument.sensors.waves import Floats
from unspool.reading.edges.turn_period import LEAST, MOST

JOINED = (2.2, 4.5)  # a slot that is closed makes one interval of three
ALIKE = 0.6  # share of the long gaps that must come the same number of edges apart


def long_gap(time_s: Floats) -> int | None:
    """The edges from one long gap to the next; None if there is no such gap.

    time_s: (n,) switchings of one sensor, the wheel turning one way.
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
