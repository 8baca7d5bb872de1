"""The tick of a clock: the step that all times of a file are multiples of.

Times that were rounded, to milliseconds or to hundredths, lie on a grid. Their error is then even
over a step, so that its sd is tick / sqrt(12), whatever the sensor could do. The tick is looked for
only if it is coarser than what sensors scatter by.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FINE_S = 2e-4  # below it a tick adds less than sensors scatter
FEWEST_STEPS = 12  # fewer may be multiples of something by chance
ON_GRID = 0.02  # of a tick: rounding of the numbers themselves, far less than chance allows
DECIMAL_S = tuple(k * 10.0**e for e in (0, -1, -2, -3) for k in (5.0, 2.0, 1.0))
_SD = 1.0 / sqrt(12.0)


def tick_of(time_s: Array) -> float:
    """The tick in s, 0.0 if there is none or if it is fine; time_s: (n,), not decreasing."""
    steps = np.diff(time_s)
    steps = steps[steps > 0.0]
    if len(steps) < FEWEST_STEPS:
        return 0.0
    least = float(steps.min())
    if least < FINE_S * (1.0 - ON_GRID):
        return 0.0
    tried = sorted({least, least / 2.0, least / 3.0, *DECIMAL_S}, reverse=True)
    fits = (tick for tick in tried if tick <= least * (1.0 + ON_GRID) and _on_grid(steps, tick))
    return next((tick for tick in fits if tick >= FINE_S * (1.0 - ON_GRID)), 0.0)


def tick_sd(tick_s: float) -> float:
    """The sd of a time that was rounded to such a tick."""
    return tick_s * _SD


def _on_grid(steps: Array, tick: float) -> bool:
    """Whether all steps are whole ticks."""
    # A tick taken from one step is off by that step's own rounding: longer steps say it better.
    longest = float(steps.max())
    tick = longest / max(round(longest / tick), 1)
    whole = steps / tick
    return bool(np.all(np.abs(whole - np.round(whole)) < ON_GRID))
