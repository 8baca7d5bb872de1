"""A second look at the numbers of a leg's edges, from both sides of each gap.

Near a rest the first look knows the edges on one side only, and a slowing wheel that misses an edge
looks from there like one that slows more. Once all edges have a number, those on the other side are
known as well. Where gaps do not fit the intervals beside them, one parabola through all edges near
them decides, and the slots in each such gap are its unknowns.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.tick import tick_sd

Array = NDArray[np.float64]
Counts = NDArray[np.int64]

SIDE, LEAST_SIDE = 6, 2  # edges on each side of a gap that decide, and must be there
SPARE = 2  # edges more than unknowns
AROUND = 2  # gaps on either side that a gap is compared with
ODD = 1.3  # a gap's time a slot over the median beside it, either way
# Slots rms, beside what rounding leaves: uneven hand-cut slots leave a quarter of that.
FITS = 0.08
CLEARER = 0.4  # of what the first look's numbers leave
MOST_STEP = 8  # slots that a gap may hold


def second_look(time_s: Array, slot: Counts, known: Counts, tick_s: float = 0.0) -> Counts:
    """(n,) the slots, with gaps that hold more or fewer than they were given put right.

    time_s, slot: (n,) of one leg's edges, rising; known: (n,) cumulated count of edges that are
    known to be lost; tick_s: what the times are rounded to.
    """
    step, least = np.diff(slot), np.diff(known) + 1
    odd = _odd(time_s, step, tick_s)
    for i in np.flatnonzero(odd).tolist():
        near = slice(max(i + 1 - SIDE, 0), min(i + 1 + SIDE, len(slot)))
        gaps = slice(near.start, near.stop - 1)
        if min(i + 1 - near.start, near.stop - i - 1) < LEAST_SIDE:
            continue
        fits = FITS + _rounding(time_s[near], step[gaps], tick_s)
        step[gaps] = _likelier(time_s[near], step[gaps], odd[gaps], least[gaps], fits)
    return np.asarray(slot[0] + np.concatenate([[0], np.cumsum(step)]))


def _rounding(time_s: Array, step: Counts, tick_s: float) -> float:
    """Slots rms that rounding leaves of these edges' places."""
    each_s = float(time_s[-1] - time_s[0]) / float(step.sum())
    return tick_sd(tick_s) / max(each_s, tick_s, 1e-12)


def _odd(time_s: Array, step: Counts, tick_s: float) -> NDArray[np.bool_]:
    """(n - 1,) gaps whose time a slot is unlike that of the gaps before and behind."""
    if len(step) < 2 * AROUND + 1:
        return np.zeros(len(step), dtype=bool)
    took = np.diff(time_s)
    padded = np.pad(took / step, AROUND, mode="edge")
    beside = np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * AROUND + 1), axis=1)
    long, short = took - tick_s > ODD * beside * step, (took + tick_s) * ODD < beside * step
    return np.asarray(long | short | (step > 1))


def _likelier(
    time_s: Array, step: Counts, odd: NDArray[np.bool_], least: Counts, fits: float
) -> Counts:
    """The steps from each edge to the next, other ones only if they surely fit better; (n - 1,).

    fits: slots rms that they may leave.
    """
    unsure = np.flatnonzero(odd)
    n = len(time_s)
    if n < 3 + len(unsure) + SPARE or time_s[-1] <= time_s[0]:
        return step
    parabola = np.vander((time_s - time_s[0]) / (time_s[-1] - time_s[0]), 3)
    beyond = (np.arange(n)[:, None] > unsure).astype(np.float64)
    sure = np.concatenate([[0], np.cumsum(np.where(odd, 0, step))]).astype(np.float64)
    solution = np.linalg.lstsq(np.column_stack([parabola, -beyond]), sure)[0]
    tried = step.copy()
    tried[unsure] = np.clip(np.round(solution[3:]), least[unsure], MOST_STEP + least[unsure])
    if np.array_equal(tried, step):
        return step
    basis = np.linalg.qr(parabola)[0]
    left = _left(basis, tried)
    return tried if left < fits and left < CLEARER * _left(basis, step) else step


def _left(basis: Array, step: Counts) -> float:
    """Slots rms that a parabola leaves of these steps."""
    slot = np.concatenate([[0], np.cumsum(step)]).astype(np.float64)
    rest = slot - basis @ (basis.T @ slot)
    return float(np.sqrt(rest @ rest / (len(slot) - 3)))
