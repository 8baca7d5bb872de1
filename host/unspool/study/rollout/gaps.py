"""Edges that were lost, by time: an interval that is several times what its neighbours make of it.

A hand's push has a rhythm of its own, which no law of motion holds for more than a few slots. So
only the nearest intervals count: two pairs on each side, continued to the interval between them.
Each pair is a tooth and a gap. These may differ much in width, but pairs are nearly alike.
An interval that lost an edge is suddenly twice as long. A wheel that slows down has neighbours that
slow down, too. One that almost rests between two shoves may stand in a slot for any time.
Two losses with a single edge between them look like such a rest, and stay unknown.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

AROUND = 4  # intervals on each side that are asked
LONG, LONG_AT_ENDS = 1.65, 1.8  # slots; near the ends of a stroke one side alone is asked
# Over the intervals two and four off, which are tooth or gap alike: a loss makes it tooth and gap.
LONGER, LONGER_AT_ENDS = 1.4, 1.6
PAIRS_ON, KIND_ON = 0.75, 1.0  # from the near ones on to the interval, of the step to the far ones
# Pairs that slow down towards an interval by more than this, from both sides, are about to rest. At
# constant deceleration to rest and on, the interval is up to 3.2 times what the pairs predict.
# The near pair is then 1.46 times the far one: hence its square.
RESTING = 1.3
SURE = 0.3  # of a slot from a whole number
ALIKE = 1.5  # factor by which the two sides may differ
PASSES = 8  # losses so near each other that one hides the next


def lost_between(time_s: Array, known: NDArray[np.int64]) -> tuple[NDArray[np.int64], int]:
    """Edges lost in each interval (n - 1,), and how many intervals are not certain.

    time_s: (n,) of edges rolled one way without a rest; known: (n - 1,) lost by their numbering.
    """
    lost = known.copy()
    unsure = 0
    if len(lost) < 2 * AROUND + 1:
        return lost, 0
    interval = np.maximum(np.diff(time_s), 1e-6)
    for _ in range(PASSES):
        size = np.log(interval / (lost + 1.0))
        ratio, limit, apart = _ratio(size)
        # If the numbering shows a loss, it shows all of it.
        found = (ratio > limit) & (ratio >= _highest_around(ratio)) & (lost == 0)
        if not found.any():
            break
        whole = np.rint(ratio[found]).astype(np.int64)
        doubt = (np.abs(ratio[found] - whole) > SURE) | (apart[found] > np.log(ALIKE))
        unsure += int(doubt.sum())
        lost[found] = np.maximum(whole - 1, 1)
    return lost, unsure


def _ratio(size: Array) -> tuple[Array, Array, Array]:
    """Each interval over what its neighbours give, from where on it is long, how its sides differ.

    size: (k,) logarithms of seconds a slot; all results (k,), the last one a logarithm. Intervals
    that are not judged have ratio 0.
    """
    pair = np.logaddexp(size[:-1], size[1:]) - np.log(2.0)  # the mean of intervals i and i + 1
    after = _from_after(size, pair)
    # Before: the same, seen backwards in time.
    before = tuple(side[::-1] for side in _from_after(size[::-1], pair[::-1]))
    ratio = np.exp(size - np.nanmean([before[0], after[0]], axis=0))
    alike = np.exp(size - np.nanmean([before[1], after[1]], axis=0))
    apart = np.abs(before[0] - after[0])
    alone = np.isnan(apart)
    ratio[alike < np.where(alone, LONGER_AT_ENDS, LONGER)] = 0.0
    ratio[[0, -1]] = 0.0  # from rest or to rest anything is possible
    slowing = np.fmin(before[2], after[2])
    limit = np.where(alone, LONG_AT_ENDS, LONG)
    limit = np.where(slowing > np.log(RESTING), limit * np.exp(2.0 * slowing), limit)
    return ratio, limit, np.where(alone, 0.0, apart)


def _from_after(size: Array, pair: Array) -> tuple[Array, Array, Array]:
    """What the pairs after each interval, and those of its kind after it, make of it; (k,) each.

    The third is how much the near pair is slower than the far one. All are logarithms, NaN where
    there are not enough after it. Neighbours that slow down towards the interval make it longer; of
    those that speed up it is not believed that they go on to.
    """
    n = len(size) - AROUND
    by_pairs, by_kind, slowing = np.full((3, len(size)), np.nan)
    near, far = pair[1 : n + 1], pair[3 : n + 3]
    slowing[:n] = near - far
    by_pairs[:n] = near + PAIRS_ON * np.maximum(near - far, 0.0)
    near, far = size[2 : n + 2], size[4 : n + 4]
    by_kind[:n] = near + KIND_ON * np.maximum(near - far, 0.0)
    return by_pairs, by_kind, slowing


def _highest_around(ratio: Array) -> Array:
    padded = np.pad(ratio, AROUND, constant_values=0.0)
    highest: Array = np.lib.stride_tricks.sliding_window_view(padded, 2 * AROUND + 1).max(axis=1)
    return highest
