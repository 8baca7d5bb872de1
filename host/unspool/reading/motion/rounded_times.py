"""Edges missed in times that were rounded to about what a slot takes, or to more.

No single interval shows such a miss. It shifts all later edges by a slot, and many edges on both
sides show that: slots over time are a parabola with a step in it. A change of the acceleration is a
kink and leaves a part of a slot at most. Slots that take about a tick beat with it, which looks
like a step as well. But rounding is never off by more than half a tick, and a step is.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.tick import tick_sd

Array = NDArray[np.float64]
Counts = NDArray[np.int64]

# The sd of a place in slots that rounding leaves. Below the least, intervals show what was missed;
# above the most, no window is long enough and still has one acceleration.
LEAST_SD, MOST_SD = 0.07, 0.5
# Edges on each side: a step's variance is 8 over them, in variances of one edge's place.
OVER_EDGES = 8.0
FEWEST, MOST, STEP_SD = 8, 48, 0.14
SURE_SDS = 4.5  # of a step, the best of some thousand places
BESIDES = 0.15  # of a slot that an edge may be off besides rounding
WHOLE = 0.34  # of a slot: how near to a whole number it must be
LEAST_SIZE = 0.1  # of a step, if all else is taken out: below, all times of a window are one
MOST_STEPS = 100  # bounds the time; a sensor that misses more than that is past help


def place_sd_slots(time_s: Array, tick_s: float) -> Array:
    """(n - 1,) sd in slots that rounding leaves of the places about each interval; time_s: (n,)."""
    reach = min(4, len(time_s) - 1)
    padded = np.pad(time_s, reach, mode="reflect", reflect_type="odd")
    took = (padded[2 * reach :] - padded[: -2 * reach])[:-1] / (2 * reach)
    return np.asarray(tick_sd(tick_s) / np.maximum(took, tick_s * 1e-3))


def rounding_slots(time_s: Array, tick_s: float) -> float:
    """The sd in slots that rounding leaves of the places of the fastest edges; time_s: (n,)."""
    if len(time_s) < 2 or not tick_s:
        return 0.0
    return float(np.percentile(place_sd_slots(time_s, tick_s), 90))


def unmissed(time_s: Array, slot: Counts, tick_s: float) -> Counts:
    """(n,) the slots, each shifted by those that were missed before it; slot: (n,) rising."""
    if len(slot) < 2 * FEWEST or not tick_s:
        return slot
    sd, usual = place_sd_slots(time_s, tick_s), rounding_slots(time_s, tick_s)
    if not LEAST_SD < usual < MOST_SD:
        return slot
    side = int(np.clip(ceil(OVER_EDGES * (usual / STEP_SD) ** 2), FEWEST, MOST))
    if len(slot) < 2 * side:
        return slot
    windows = _Windows.of(time_s, side)
    # Half a tick, in slots, and what else an edge may be off by.
    most = sqrt(3.0) * sd[side - 1 : side - 1 + len(windows.basis)] + BESIDES
    slot = slot.copy()
    for _ in range(MOST_STEPS):
        step, sds, off, without = windows.steps(slot)
        whole = np.round(step)
        found = (whole >= 1) & (np.abs(step - whole) < WHOLE) & (sds > SURE_SDS)
        found &= (off < most) & (without > most)
        if not found.any():
            break
        at = int(np.argmax(np.where(found, sds, 0.0)))
        slot[at + side :] += int(whole[at])
    return slot


@dataclass(frozen=True)
class _Windows:
    """basis: (w, 2 side, 4) orthonormal: a parabola for each window, then a step in its middle."""

    basis: Array
    size: Array  # (w,) of the step without what a parabola explains

    @classmethod
    def of(cls, time_s: Array, side: int) -> _Windows:
        t = np.lib.stride_tricks.sliding_window_view(time_s, 2 * side)
        u = (t - t[:, :1]) / np.maximum(t[:, -1:] - t[:, :1], 1e-9)
        beyond = np.broadcast_to(np.arange(2 * side) >= side, u.shape)
        basis, upper = np.linalg.qr(np.stack([np.ones_like(u), u, u * u, beyond], axis=2))
        return cls(basis, upper[:, 3, 3])

    def steps(self, slot: Counts) -> tuple[Array, Array, Array, Array]:
        """For each window, (w,): slots missed in its middle, how many sds that is, and the most
        that an edge is off with that step and without it.
        """
        n = self.basis.shape[1]
        s = np.lib.stride_tricks.sliding_window_view(slot.astype(np.float64), n)
        s = s - s[:, :1]
        found = np.einsum("wnk,wn->wk", self.basis, s)
        without = s - np.einsum("wnk,wk->wn", self.basis[:, :, :3], found[:, :3])
        rest = without - self.basis[:, :, 3] * found[:, 3:]
        clear = np.abs(self.size) > LEAST_SIZE
        step = np.where(clear, -found[:, 3] / np.where(clear, self.size, 1.0), 0.0)
        left = np.einsum("wn,wn->w", rest, rest)
        sd = np.sqrt(np.maximum(left, 1e-9) / (n - 4)) / np.maximum(np.abs(self.size), LEAST_SIZE)
        return step, step / sd, np.abs(rest).max(axis=1), np.abs(without).max(axis=1)
