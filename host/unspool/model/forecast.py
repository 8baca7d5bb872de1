"""Forecast: where a run that is under way will stop, from what it has done so far.

While the string drives, the prediction's own interval is all that is known. Then the car coasts,
and u = v^2 follows the linear equation of the coast,

    (M_c / 2) du/dx = -(s R + G(x)) - f u,

R is the rolling resistance, G the grade and f the air, all of the car as it is described. The
factor s stands for what rolls worse or better than described. The first value of u and s enter
linearly, so both follow from the points by Bayesian linear regression. The prior is flat on the
value, and normal on s, as wide as the prediction's interval. (Gelman et al., "Bayesian Data
Analysis", 3rd ed., chapter 14; from memory.)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.model.outcome import EventKind, Prediction
from unspool.model.params import Params, params_of

Array = NDArray[np.float64]

Z90 = 1.645  # a normal interval with 90 % in it is 2 x 1.645 sd wide
SPACING_M = 0.1  # nearer points of the live filter repeat each other
FEWEST = 4
LEAST_SD_M = 0.006  # a third of a slot of a usual disc
LEAST_NOISE = 0.002  # m^2/s^2
# What rolls worse or better ahead than behind, as a share: no real floor is as even as a generated
# one. `make bench` measures how many generated runs end in the interval.
AHEAD = 0.01
AFTER_RELEASE = 1.03  # times the expected place, for a string that lets go late
GRID_M = 0.02
FARTHEST = 4.0  # times what should be left; a car that is not at rest by then is not foreseen


@dataclass(frozen=True)
class StopForecast:
    """The stop lies between low_m and high_m with 90 %; both are at or past the car's place."""

    low_m: float
    high_m: float


def forecast_stop(
    car: Car, track: Track, prediction: Prediction, distance_m: Array, speed_m_s: Array
) -> StopForecast | None:
    """distance_m, speed_m_s: (n,) of the run so far, from the launch.

    prediction: of this car, wound as it was, on this track. None if nothing stops the car as far as
    is known.
    """
    low, high = prediction.distance_low_m, prediction.distance_high_m
    if not isfinite(high):
        return None
    reached = float(distance_m[-1]) if len(distance_m) else 0.0
    points = _coasting(prediction, distance_m, speed_m_s)
    if points is not None:
        found = _Coast(params_of(car, track), prediction, *points).stop()
        if found is not None:
            middle, sd = found
            low, high = middle - Z90 * sd, middle + Z90 * sd
    return StopForecast(max(low, reached), max(high, reached))


def _coasting(prediction: Prediction, x: Array, v: Array) -> tuple[Array, Array] | None:
    """Distance and v^2 since nothing drives any more, well apart; None before that."""
    drives = (EventKind.RELEASE, EventKind.LANDING)
    ends = [event.distance_m for event in prediction.events if event.kind in drives]
    begins = AFTER_RELEASE * max(ends, default=0.0) + SPACING_M
    if not len(x) or x[-1] <= begins:
        return None
    behind = x > max(begins, float(x[int(np.argmax(v))]))
    x, v = x[behind], v[behind]
    last = np.flatnonzero(np.diff((x / SPACING_M).astype(np.int64), append=-1))
    return (x[last], np.square(v[last])) if len(last) >= FEWEST else None


class _Coast:
    """The coast of one run: x, u (n,) so far."""

    def __init__(self, params: Params, prediction: Prediction, x: Array, u: Array) -> None:
        self._params, self._x, self._u = params, x, u
        linear = params.linear_n_s_m / sqrt(max(float(np.mean(u)), 1e-6))
        self._decay = 2.0 * (params.drag_kg_m + linear) / params.coasting_kg
        spread = (prediction.distance_high_m - prediction.distance_low_m) / (2.0 * Z90)
        left = max(prediction.distance_m - float(x[0]), SPACING_M)
        self._rolls_sd = max(spread / left, 0.03)
        self._left_m = left

    def stop(self) -> tuple[float, float] | None:
        """The place where it stops, and the sd of that; None if it does not stop in sight."""
        (here, rolls), covariance = self._fit()
        step_u, step_s = 0.02 * max(here, 0.01), 0.02 * rolls
        stops = [
            self._stop_from(*state)
            for state in ((here, rolls), (here + step_u, rolls), (here, rolls + step_s))
        ]
        if not all(isfinite(one) for one in stops):
            return None
        to = np.array([(stops[1] - stops[0]) / step_u, (stops[2] - stops[0]) / step_s])
        ahead = to[1] * rolls * AHEAD
        variance = float(to @ covariance @ to) + float(ahead) ** 2 + LEAST_SD_M**2
        return stops[0], sqrt(variance)

    def _fit(self) -> tuple[tuple[float, float], Array]:
        """u at the last point and s, and their covariance."""
        at = self._x - float(self._x[-1])
        rolling, grade = self._losses(self._x[-1] + _backwards(at))
        grown, roll, climb = self._carried(_backwards(at), rolling, grade, at)
        design = np.column_stack([grown, -roll])
        seen = self._u + climb
        noise = max(self._noise(design, seen), LEAST_NOISE)
        prior = np.array([0.0, self._rolls_sd**-2])
        precision = design.T @ design / noise**2 + np.diag(prior)
        covariance: Array = np.linalg.inv(precision).astype(np.float64)
        here, rolls = covariance @ (design.T @ seen / noise**2 + prior)
        return (max(float(here), 0.0), max(float(rolls), 0.2)), covariance

    def _noise(self, design: Array, seen: Array) -> float:
        fitted, *_ = np.linalg.lstsq(design, seen, rcond=None)
        return float(np.std(seen - design @ fitted))

    def _losses(self, place: Array) -> tuple[Array, Array]:
        """2/M_c times rolling resistance and grade at each place, m/s^2."""
        slopes = [self._params.slope(float(x), 1) for x in place]
        share = 2.0 / self._params.coasting_kg
        rolling = share * np.array([self._params.rolling_n(slope) for slope in slopes])
        return rolling, share * np.array([self._params.grade_n(slope) for slope in slopes])

    def _carried(
        self, grid: Array, rolling: Array, grade: Array, at: Array
    ) -> tuple[Array, Array, Array]:
        """At each place: what 1 at the origin of the grid is worth, and what both losses took."""
        growth = np.exp(self._decay * grid)
        parts = []
        for loss in (rolling, grade):
            taken = _integral(grid, loss * growth)
            parts.append(np.interp(at, grid, taken) / np.exp(self._decay * at))
        return np.exp(-self._decay * at), parts[0], parts[1]

    def _stop_from(self, here: float, rolls: float) -> float:
        """Where u comes to 0 ahead; infinite if it does not."""
        ahead = np.arange(0.0, FARTHEST * self._left_m + 1.0, GRID_M)
        rolling, grade = self._losses(self._x[-1] + ahead)
        growth = np.exp(self._decay * ahead)
        left = here - _integral(ahead, (rolls * rolling + grade) * growth)
        below = int(np.argmax(left <= 0.0))
        if left[below] > 0.0:
            return float("inf")
        if below == 0:
            return float(self._x[-1])
        share = left[below - 1] / (left[below - 1] - left[below])
        return float(self._x[-1] + ahead[below - 1] + share * GRID_M)


def _backwards(at: Array) -> Array:
    """A grid from the first of `at`, all of which lie at or below 0, up to 0."""
    steps = max(int(np.ceil(-float(at[0]) / GRID_M)), 1)
    return np.linspace(float(at[0]), 0.0, steps + 1)


def _integral(grid: Array, value: Array) -> Array:
    """From 0 to each place of the grid, by trapezia."""
    steps = 0.5 * (value[1:] + value[:-1]) * np.diff(grid)
    total = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(total - np.interp(0.0, grid, total))
