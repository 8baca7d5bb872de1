"""What is known of a car's losses before any run: handbook tables, or the car file's own values.

Rolling: from 0.001 (bicycle tyre on a wooden track) to 0.015 (car tyre on concrete), by the usual
rolling resistance tables. Small wheels, foam and rubber bands are at the upper end and above.
Constant drag: a bearing catalogue's M = 1/2 mu P d with mu = 0.0015 gives 0.0014 N at the tyre for
18 N on 6 mm axles and 60 mm wheels. Small greased or sealed bearings take several times as much.
Drag: a bluff tower's coefficient is 0.8 to 1.2 (cube 1.05, square plate 1.17, cylinder 0.85 to
1.2), its frontal area from 50 to 300 cm2.
Efficiency: car/measured.py.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car
from unspool.car.measured import drive_efficiency
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    TERMS,
    Array,
)

# A value in a car file is the builder's estimate; it may have been copied from another car.
# So both are wide: of the size of the values themselves.
ROLLING_SD = 0.010
CONSTANT_SD_N = 0.007
# Left to the handbook: small is likelier than large, as an exponential law has it, with 90 % below
# 0.05 N. A Gaussian that is cut at 0 far above its mean is one.
CONSTANT_SCALE_N, _FAR_SD_N = 0.022, 0.09
# Linear drag: grease and seals in bearings, and a string's windage. Small is likelier than large,
# by the same law: 90 % below 0.046 N s/m (a judgement, from memory).
LINEAR_SD, LINEAR_SCALE, _FAR_SD_LINEAR = 0.02, 0.02, 0.08
# Assumed for a small car: coefficient times area, within two thirds of it as one sd.
DRAG_AREA_M2, DRAG_AREA_SD_M2 = 0.015, 0.010
# A constant drag that the file states is the builder's word. It is good to a share of it, and never
# to less than what free bearings take, which is often written as 0.
STATED_SHARE, STATED_LEAST_SD_N = 0.15, 0.0015
GIVEN_DRAG_SHARE = 0.25  # of a drag area that the file gives, as sd
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
    losses = car.losses
    mean, sd = np.zeros(len(TERMS)), np.zeros(len(TERMS))
    mean[ROLLING], sd[ROLLING] = losses.rolling_coefficient, ROLLING_SD
    mean[CONSTANT], sd[CONSTANT] = losses.constant_drag_n, CONSTANT_SD_N
    mean[LINEAR], sd[LINEAR] = losses.linear_drag_n_s_per_m, LINEAR_SD
    mean[DRAG], sd[DRAG] = DRAG_AREA_M2, DRAG_AREA_SD_M2
    mean[EFFICIENCY], sd[EFFICIENCY] = drive_efficiency(car)
    if losses.constant_drag_n == 0.0:
        mean[CONSTANT], sd[CONSTANT] = -(_FAR_SD_N**2) / CONSTANT_SCALE_N, _FAR_SD_N
    if losses.linear_drag_n_s_per_m == 0.0:
        mean[LINEAR], sd[LINEAR] = -(_FAR_SD_LINEAR**2) / LINEAR_SCALE, _FAR_SD_LINEAR
    if car.frontal_area_m2 is not None:
        mean[DRAG] = car.drag_area_m2
        sd[DRAG] = max(GIVEN_DRAG_SHARE * car.drag_area_m2, 1e-4)
    lower, upper = np.zeros(len(TERMS)), np.full(len(TERMS), np.inf)
    lower[ROLLING], upper[ROLLING] = 1e-5, 0.5
    lower[[CONSTANT, LINEAR]] = 0.0
    lower[EFFICIENCY], upper[EFFICIENCY] = 0.05, 1.0
    return Prior(mean, sd, lower, upper, np.zeros(len(TERMS), dtype=bool))


def states_constant_drag(car: Car) -> bool:
    return "constant_drag_n" not in car.losses.assumed


def vouched_prior(car: Car) -> Prior:
    """The prior that takes the car file's constant drag at its word."""
    prior, stated = prior_of(car), car.losses.constant_drag_n
    mean, sd, vouched = prior.mean.copy(), prior.sd.copy(), prior.vouched.copy()
    mean[CONSTANT], sd[CONSTANT] = stated, max(STATED_SHARE * stated, STATED_LEAST_SD_N)
    vouched[CONSTANT] = True
    return replace(prior, mean=mean, sd=sd, vouched=vouched)
