"""Runs that leave the model by far more than the others do."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

# A floor's unevenness makes every run leave the model; one that leaves it by so many slots, and by
# so many times more than the others do, is not a run of this car in this winding.
ASTRAY_SLOTS, ASTRAY_TIMES = 0.5, 4.0


def astray_limit(rms_slots: Sequence[float]) -> float:
    """Slots (root mean square over a run) above which a run is astray, given all runs'."""
    return max(ASTRAY_SLOTS, ASTRAY_TIMES * median(rms_slots))
