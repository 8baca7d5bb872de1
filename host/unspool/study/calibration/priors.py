"""What is known of a car's losses before any run: handbook tables, or the car file's own values.

The handbook's ranges are those that a prediction before any run takes (car/handbook.py), here as
Gaussians. Efficiency: car/measured.py.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car
from unspool.car.handbook import (
    ANY_DRAG_AREA_M2,
    CONSTANT_DRAG_MEAN_N,
    LINEAR_DRAG_MEAN_N_S_PER_M,
    loss_prior,
)
from unspool.car.measured import drive_efficiency, measured
from unspool.study.calibration.types import (
    CONSTANT,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    TERMS,
    Array,
)

# A value in a car file is the builder's estimate; it may have been copied from another car.
# So all are wide: of the size of the values themselves.
ROLLING_SD = 0.010
CONSTANT_SD_N = 0.007
LINEAR_SD = 0.02
# A Gaussian that is cut at 0 so many of its scales above its mean is an exponential law.
_FAR = 4.0
# A constant drag that the file states is the builder's word. It is good to a share of it, and never
# to less than what free bearings take, which is often written as 0.
STATED_SHARE, STATED_LEAST_SD_N = 0.15, 0.0015
LEAST_AREA_SD_M2 = 1e-4
# A ceramic resonator may be off by 0.5 %.
CLOCK_SD = 0.002


@dataclass(frozen=True)
class Prior:
    """Gaussians cut to what is possible; all (5,) in the order of TERMS. vouched marks those that
    the builder answers for.
    """

    mean: Array
    sd: Array
    lower: Array
    upper: Array
    vouched: NDArray[np.bool_]

    @property
    def start(self) -> Array:
        """(5,) where a search starts: the mean, within the bounds."""
        return np.asarray(np.clip(self.mean, self.lower, self.upper))


def prior_of(car: Car) -> Prior:
    """The prior for this car: centred on its file's values where it gives them."""
    known = (_rolling(car), _constant(car), _linear(car), _drag_area(car), drive_efficiency(car))
    mean, sd = np.array(known).T
    lower, upper = np.zeros(len(TERMS)), np.full(len(TERMS), np.inf)
    lower[ROLLING], upper[ROLLING] = 1e-5, 0.5
    lower[[CONSTANT, LINEAR]] = 0.0
    lower[EFFICIENCY], upper[EFFICIENCY] = 0.05, 1.0
    return Prior(mean, sd, lower, upper, np.zeros(len(TERMS), dtype=bool))


def _rolling(car: Car) -> tuple[float, float]:
    losses = car.losses
    if "rolling_coefficient" in losses.assumed:
        return loss_prior(car).rolling_moments
    value, sd = losses.rolling_coefficient, losses.rolling_coefficient_sd
    return value, max(ROLLING_SD, value) if sd is None else sd


def _constant(car: Car) -> tuple[float, float]:
    value = car.losses.constant_drag_n
    return (value, CONSTANT_SD_N) if value else _exponential(CONSTANT_DRAG_MEAN_N)


def _linear(car: Car) -> tuple[float, float]:
    value, sd = car.losses.linear_drag_n_s_per_m, car.losses.linear_drag_sd_n_s_per_m
    if not value:
        return _exponential(LINEAR_DRAG_MEAN_N_S_PER_M)
    return value, LINEAR_SD if sd is None else sd


def _drag_area(car: Car) -> tuple[float, float]:
    share = measured(car).drag_area_share
    if car.frontal_area_m2 is None or share is None:
        return ANY_DRAG_AREA_M2.mean, ANY_DRAG_AREA_M2.sd
    return car.drag_area_m2, max(share * car.drag_area_m2, LEAST_AREA_SD_M2)


def _exponential(mean: float) -> tuple[float, float]:
    """The Gaussian that is an exponential law of this mean, if it is cut at 0."""
    return -(_FAR**2) * mean, _FAR * mean


def states_constant_drag(car: Car) -> bool:
    return "constant_drag_n" not in car.losses.assumed


def vouched_prior(car: Car) -> Prior:
    """The prior that takes the car file's constant drag at its word."""
    prior, stated, said = prior_of(car), car.losses.constant_drag_n, car.losses.constant_drag_sd_n
    mean, sd, vouched = prior.mean.copy(), prior.sd.copy(), prior.vouched.copy()
    usual = max(STATED_SHARE * stated, STATED_LEAST_SD_N)
    mean[CONSTANT], sd[CONSTANT] = stated, usual if said is None else said
    vouched[CONSTANT] = True
    return replace(prior, mean=mean, sd=sd, vouched=vouched)
