"""The ramp test: a rolling coefficient with a tape measure alone.

A car released on a ramp at height h rolls down and out over the floor until its rolling resistance
has used up the height. Then m g h = c m g (level length of the ramp + way on the floor), whatever
its mass and wheels, as long as one coefficient c holds on both. So the level way from release to
rest is h / c: a line through 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np

from unspool.errors import InputError
from unspool.fitting import Fit, fit_columns, fit_line
from unspool.intervals import LEVEL, student_factor

LONGEST_RAMP_M = 20.0  # above it the figures are in another unit
# An offset this many times its error is no chance: common practice for refusing a measurement.
SURE = 0.99


@dataclass(frozen=True)
class RampRoll:
    """One roll: along the ramp from release to its foot, height between the two, and from the foot
    to where the car stopped. All are of the same point of the car, such as its front axle.
    """

    height_m: float
    ramp_m: float
    floor_m: float

    @property
    def level_m(self) -> float:
        """The ramp's part of the level way."""
        return sqrt(self.ramp_m**2 - self.height_m**2)


@dataclass(frozen=True)
class RampCoefficient:
    """low and high bound the 90 % interval, scatter_m is the sd of a roll's way; None from one
    roll.
    """

    value: float
    low: float | None
    high: float | None
    scatter_m: float | None
    rolls: int


def rolling_from_ramp(rolls: Sequence[RampRoll | tuple[float, float, float]]) -> RampCoefficient:
    """The rolling coefficient of these rolls; a triple is height, along the ramp, on the floor.

    Raises InputError if a measure is impossible, or if one coefficient cannot hold on ramp and
    floor. That is so if the car rolled down a ramp on which it would have held it. It is also so if
    the ways do not grow from 0 in step with the height.
    """
    given = _checked([one if isinstance(one, RampRoll) else RampRoll(*one) for one in rolls])
    height = np.array([one.height_m for one in given])
    way = np.array([one.level_m + one.floor_m for one in given])
    fit = fit_columns(height[:, None], way)
    value = 1.0 / float(fit.terms[0])
    _refuse_holding(given, value)
    _refuse_offset(height, way)
    if fit.freedom < 1:
        return RampCoefficient(value, None, None, None, len(given))
    low, high = _interval(fit)
    return RampCoefficient(value, low, high, fit.sd, len(given))


def _interval(fit: Fit) -> tuple[float, float]:
    slope, half = float(fit.terms[0]), student_factor(fit.freedom, LEVEL) * float(fit.errors[0])
    if half >= slope:
        raise InputError(
            "these rolls differ too much to find a rolling coefficient; repeat them, and measure "
            "to the same point of the car each time"
        )
    return 1.0 / (slope + half), 1.0 / (slope - half)


def _checked(rolls: Sequence[RampRoll]) -> Sequence[RampRoll]:
    if not rolls:
        raise InputError("there is no roll to find a rolling coefficient; give at least one")
    for number, one in enumerate(rolls, 1):
        sound = all(isfinite(x) for x in (one.height_m, one.ramp_m, one.floor_m))
        ramp = one.height_m < one.ramp_m < LONGEST_RAMP_M
        if not (sound and ramp and one.height_m > 0.0 and one.floor_m > 0.0):
            raise InputError(
                f"roll {number}: height {one.height_m:g} m, ramp {one.ramp_m:g} m, floor "
                f"{one.floor_m:g} m. Give metres. The height must be above 0 and below the "
                "ramp's length, and the car must have reached the floor"
            )
    return rolls


def _refuse_holding(rolls: Sequence[RampRoll], value: float) -> None:
    for number, one in enumerate(rolls, 1):
        slope = one.height_m / one.level_m
        if value >= slope:
            raise InputError(
                f"one rolling coefficient cannot hold on ramp and floor: {value:.4f} fits these "
                f"rolls, but would have held the car of roll {number} on its slope of "
                f"{slope:.4f}; {_WHAT_TO_DO}"
            )


def _refuse_offset(height: np.ndarray, way: np.ndarray) -> None:
    if len(np.unique(height)) < 2 or len(height) < 3:
        return
    line = fit_line(height, way)
    if abs(line.terms[0]) > student_factor(line.freedom, SURE) * line.errors[0]:
        raise InputError(
            "one rolling coefficient cannot hold on ramp and floor: the ways point to "
            f"{line.terms[0]:.2f} m at no height, and should point to 0; {_WHAT_TO_DO}"
        )


_WHAT_TO_DO = (
    "measure to the same point of the car at release and at rest. Ease the foot of the ramp, lay "
    "the floor's own surface on it, and let the car roll from lower (air slows it from higher)"
)
