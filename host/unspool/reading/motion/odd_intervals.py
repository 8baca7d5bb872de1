"""Intervals between edges that do not fit their neighbours: edges were lost or made up there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

AROUND = 6  # spans on each side that a span is compared with
SOUND = 3  # intervals that a gap needs on each side to be judged from both
ODD_SHORT, ODD_LONG = 0.8, 1.25  # span over its neighbours' that asks for a closer look


def odd_intervals(
    time_s: NDArray[np.float64],
    lost: NDArray[np.int64],
    first: int,
    last: int,
    tick_s: float = 0.0,
) -> NDArray[np.intp]:
    """Edges first <= i < last whose interval to the next one does not fit its neighbours.

    Each interval is judged by the two spans of two intervals that it is part of. A disc's tooth and
    gap may differ much in width; the widths of tooth and gap together differ little. What rounding
    times to tick_s explains is not odd.
    """
    interval = np.diff(time_s[first : last + 1])
    jump = np.diff(lost[first : last + 1]) > 0
    if len(interval) < AROUND + 2:
        return np.flatnonzero(jump) + first
    span = interval[1:] + interval[:-1]
    padded = np.pad(span, AROUND, mode="reflect", reflect_type="odd")
    near = np.lib.stride_tricks.sliding_window_view(padded, 2 * AROUND + 1)
    usual = np.maximum(np.median(near, axis=1), max(tick_s, 1e-12))
    long = _both(np.minimum, (span - tick_s) / usual) > ODD_LONG
    short = _both(np.maximum, (span + tick_s) / usual) < ODD_SHORT
    return np.flatnonzero(long | short | jump) + first


def _both(least_or_most: np.ufunc, ratio: NDArray[np.float64]) -> NDArray[np.float64]:
    """Of the two spans of each interval; at the ends there is but one."""
    return np.asarray(least_or_most(np.r_[ratio[0], ratio], np.r_[ratio, ratio[-1]]))


def zones_of(odd: NDArray[np.intp]) -> list[tuple[int, int]]:
    """Runs of odd intervals with fewer than two sound ones between them."""
    if not len(odd):
        return []
    breaks = np.flatnonzero(np.diff(odd) > 2)
    return [
        (int(a), int(b))
        for a, b in zip(odd[np.r_[0, breaks + 1]], odd[np.r_[breaks, len(odd) - 1]], strict=True)
    ]


def sound_ends(odd: NDArray[np.intp], first: int, last: int) -> tuple[int, int]:
    """The part between first and last that starts and ends with enough sound intervals to judge by.

    What is left over at the ends is walked.
    """
    near_start = odd[(odd < (first + last) // 2)]
    while len(near_start) and near_start[0] - first < SOUND:
        first = int(near_start[0]) + 1
        near_start = near_start[1:]
    near_end = odd[odd >= (first + last) // 2]
    while len(near_end) and last - near_end[-1] <= SOUND:
        last = int(near_end[-1])
        near_end = near_end[:-1]
    return first, last
