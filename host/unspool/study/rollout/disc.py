"""Where the disc's slots really lie, believed only as far as both halves of a push agree.

The run's own estimate (unspool.reading.motion.smooth) takes what repeats every turn for the disc.
A hand that shoves once a turn, or jerks, leaves something like it: so the two halves of a push are
estimated apart. What they share is the disc's, what they differ in is noise. The mean of both is
shrunk by the share of the first (a Wiener filter with one gain). Teeth wider than gaps stay: that
changes from edge to edge, as no hand does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.reading.motion.smooth import smooth

Array = NDArray[np.float64]

TURNS_A_HALF = 2.0  # the fewest from which a pattern can be estimated
LARGEST = 0.9  # of a slot: a boundary nearer than the rest to its neighbour is not to be believed


def slot_places(time_s: Array, boundary: NDArray[np.int64], pulses: int) -> tuple[Array, float]:
    """How far each boundary lies from the even pitch, (pulses,), and the sd left over; in slots.

    time_s, boundary: (n,) of edges rolled one way. All 0 if there are too few.
    """
    none = np.zeros(pulses), 0.0
    half = len(time_s) // 2
    if half < max(TURNS_A_HALF * pulses, 6) or not _apart(time_s, half):
        return none
    one = smooth(time_s[:half], boundary[:half], pulses).pattern
    two = smooth(time_s[half:], boundary[half:], pulses).pattern
    mean = (one + two) / 2.0
    teeth = _teeth(mean)
    noise = float(np.var(one - two)) / 4.0
    signal = max(float(np.var(mean - teeth)) - noise, 0.0)
    gain = signal / (signal + noise) if signal > 0.0 else 0.0
    places = teeth + gain * (mean - teeth)
    if np.ptp(np.diff(np.append(places, places[0]))) > 2.0 * LARGEST:
        return none
    return places, float(np.sqrt(gain * noise))


def _apart(time_s: Array, half: int) -> bool:
    return bool(time_s[half - 1] > time_s[0] and time_s[-1] > time_s[half])


def _teeth(pattern: Array) -> Array:
    """The part of a pattern that is one for all even and one for all odd boundaries."""
    if len(pattern) % 2:
        return np.zeros(len(pattern))
    off = float(pattern[::2].mean() - pattern[1::2].mean()) / 2.0
    return np.where(np.arange(len(pattern)) % 2, -off, off)
