"""One sensor's switching, freed of chatter and of pulses that are no slot.

A slot that a hand turns past takes milliseconds. Changes that follow each other much quicker are a
burst: an odd number of them is one switching that chattered, an even number a pulse that came to
nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Levels = NDArray[np.int8]
Flags = NDArray[np.bool_]

SHORTEST_S = 1e-3  # the rim of a 40-slot disc at ten turns a second still takes this long
SHORT_SHARE = 0.05  # of what the switchings nearby take
LONGEST_S = 20e-3
NEARBY = 9  # switchings


@dataclass(frozen=True)
class Wave:
    """time_s, level (n,): the switchings, and what the sensor shows after each.

    bounces: there-and-backs at switchings. pulses: there-and-backs apart from them. resting: the
    level all along where there is no switching, else the first one.
    """

    time_s: Floats
    level: Levels
    bounces: int
    pulses: int
    resting: int

    @property
    def count(self) -> int:
        return len(self.time_s)


def wave(time_s: Floats, level: Levels) -> Wave:
    """time_s, level (n,): samples of one sensor, n >= 1, in order except by microseconds."""
    changed = np.flatnonzero(np.diff(level)) + 1
    when, shown = np.maximum.accumulate(time_s[changed]), level[changed]
    resting = int(level[0])
    if not len(changed):
        return Wave(when, shown, 0, 0, resting)
    starts = np.flatnonzero(np.concatenate([[True], np.diff(when) > _short_s(when)]))
    sizes = np.diff(np.append(starts, len(when)))
    odd = sizes % 2 == 1
    first = starts[odd]
    bounces = int((sizes[odd] // 2).sum())
    return Wave(when[first], shown[first], bounces, int((sizes[~odd] // 2).sum()), resting)


def _short_s(when: Floats) -> Floats:
    """For each gap between changes, how long it must be to part two switchings; (n - 1,)."""
    gaps = np.diff(when)
    long = np.flatnonzero(gaps > SHORTEST_S)
    if len(long) < NEARBY:
        return np.full(len(gaps), SHORTEST_S)
    windows = np.lib.stride_tricks.sliding_window_view(gaps[long], NEARBY)
    usual = np.median(windows, axis=1)
    nearest = np.clip(np.searchsorted(long, np.arange(len(gaps))) - NEARBY // 2, 0, len(usual) - 1)
    short: Floats = np.clip(SHORT_SHARE * usual[nearest], SHORTEST_S, LONGEST_S)
    return short
