"""Slopes, shared losses and each run's own part of them, fitted to the edges of all runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.params import params_of
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.motion import follow
from unspool.study.calibration.outliers import astray_limit
from unspool.study.calibration.pool import USUAL_SCATTER
from unspool.study.calibration.priors import Prior, prior_of
from unspool.study.calibration.run_fit import (
    FEWEST_EDGES,
    Task,
    correlation_length,
    first_guess,
    fit_run,
    linear,
    sound_edges,
)
from unspool.study.calibration.types import DRAG, EFFICIENCY, ROLLING, Array, CalibrationRun

SLOPE_SD = 0.02  # of a floor, rise over way, between two knots, before any run
STEEPEST = 0.25
_STEP = 1e-5
_SHARED, _OWN = 3, 3  # rolling, drag area, efficiency; a run's resistance, efficiency, launch
_ENOUGH = 1e-5  # share by which a step betters a fit of some thousand edges: far below its noise
_ROUNDS = 2  # of fitting and weighing the runs by what they are off


@dataclass(frozen=True)
class Part:
    """One run as the fit sees it; noise is the sd of a residual that counts once."""

    name: str
    task: Task
    projection: PatternProjection
    start_m: float
    back: bool
    force: Array
    launch_s: float
    noise: float
    prior: Prior

    @classmethod
    def of(cls, run: CalibrationRun, start_m: float, back: bool) -> Part | None:
        """None where the run has too few edges."""
        car = run.wound_car
        motion = follow(run.train, car)
        if motion.way_out < FEWEST_EDGES:
            return None
        prior = prior_of(car)
        level = replace(params_of(car, run.track), level_m=(0.0,), height_m=(0.0,))
        task = Task.of(motion, car, level, run.track.air_density_kg_m3)
        guess = first_guess(task, float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY]))
        fit = fit_run(task, guess)
        kept, r = sound_edges(task, fit.force, fit.launch_s)
        noise = float(np.sqrt(np.mean(r[kept] ** 2)))
        projection = task.projection(kept)
        return cls(run.name, task, projection, start_m, back, fit.force, fit.launch_s, noise, prior)

    @property
    def weight_n(self) -> float:
        return self.task.machine.total_kg * STANDARD_GRAVITY

    @property
    def reach(self) -> tuple[float, float]:
        """Where on the floor the run begins and ends, the lesser first."""
        edges = self.task.edges
        way = float(edges.boundary[-1] - edges.boundary[0] + 1) * edges.pitch_m
        end = self.start_m - way if self.back else self.start_m + way
        return min(self.start_m, end), max(self.start_m, end)

    def on(self, knots: Array, slope: Array) -> Task:
        """The task on a floor of these slopes between the knots."""
        height = np.r_[0.0, np.cumsum(slope * np.diff(knots))]
        x = knots - self.start_m
        if self.back:
            x, height = -x[::-1], height[::-1]
        levels = tuple(x.tolist()), tuple(height.tolist())
        on_floor = replace(self.task.machine, level_m=levels[0], height_m=levels[1])
        return replace(self.task, machine=on_floor)


@dataclass(frozen=True)
class Solved:
    """Slopes (k - 1,) between the knots (k,), their covariance; what each run is off, in slots."""

    knots: Array
    slope: Array
    covariance: Array
    rms_slots: tuple[float, ...]

    def astray(self) -> tuple[bool, ...]:
        """For each run whether it is off by far more than the others."""
        limit = astray_limit(self.rms_slots)
        return tuple(rms > limit for rms in self.rms_slots)


def solve(parts: Sequence[Part], knots: Array) -> Solved:
    """The slopes that fit these runs best."""
    fit = _Fit(parts, knots)
    p = fit.start()
    for _ in range(_ROUNDS):
        p = least_squares(
            fit.residual,
            p,
            fit.jacobian,
            method="lm",
            x_scale=fit.scale(),
            ftol=_ENOUGH,
            max_nfev=30,
        ).x
        p = np.clip(p, *fit.bounds())
        fit = replace(fit, parts=[fit.weighed(i, p) for i in range(len(parts))])
    jacobian = fit.jacobian(p)
    count = len(knots) - 1
    covariance = np.asarray(np.linalg.inv(jacobian.T @ jacobian)[:count, :count])
    rms = tuple(fit.rms(i, p) for i in range(len(fit.parts)))
    return Solved(knots, p[:count], covariance, rms)


@dataclass(frozen=True)
class _Fit:
    """Parameters: slopes, then the shared losses, then (resistance, efficiency, launch) a run; the
    first two of these as shares of what the runs have in common.
    """

    parts: Sequence[Part]
    knots: Array

    @property
    def _slopes(self) -> int:
        return len(self.knots) - 1

    def _own(self, i: int) -> slice:
        first = self._slopes + _SHARED + _OWN * i
        return slice(first, first + _OWN)

    def start(self) -> Array:
        forces = np.array([part.force for part in self.parts])
        rolling = np.median(forces[:, 0] / [part.weight_n for part in self.parts])
        own = [[0.0, 0.0, part.launch_s] for part in self.parts]
        shared = [rolling, np.median(forces[:, 1]), np.median(forces[:, 2])]
        low, high = self.bounds()
        everything = np.r_[np.zeros(self._slopes), shared, np.ravel(own)]
        return np.asarray(np.clip(everything, low, high))

    def bounds(self) -> tuple[Array, Array]:
        n = len(self.parts)
        high = [*[STEEPEST] * self._slopes, 0.5, 10.0, 1.5, *[0.5, 0.5, 1e3] * n]
        low = [*[-STEEPEST] * self._slopes, 1e-5, 0.0, 0.05, *[-0.5, -0.5, -1e3] * n]
        return np.array(low), np.array(high)

    def scale(self) -> Array:
        weight = self._prior_weight(self._slopes + _SHARED + _OWN * len(self.parts))
        return np.asarray(1.0 / np.where(weight > 0.0, weight, 20.0))

    def _force(self, i: int, p: Array) -> tuple[Array, float]:
        rolling, area, efficiency = p[self._slopes : self._slopes + _SHARED]
        more, better, launch = p[self._own(i)]
        resistance = self.parts[i].weight_n * rolling * (1.0 + more)
        return np.array([resistance, area, efficiency * (1.0 + better)]), float(launch)

    def _off(self, i: int, p: Array, slope: Array) -> Array:
        force, launch = self._force(i, p)
        return self.parts[i].on(self.knots, slope).residuals(force, launch)[0]

    def best(self, p: Array) -> Array:
        scale = self.scale()
        return np.asarray(
            least_squares(
                self.residual, p, self.jacobian,
                method="lm", x_scale=scale, ftol=_ENOUGH, max_nfev=30,
            ).x
        )  # fmt: skip

    def residual(self, p: Array) -> Array:
        # The search knows no bounds: the model is asked within them, the prior leads back.
        inside = np.clip(p, *self.bounds())
        slope = inside[: self._slopes]
        rows = [
            part.projection.whitened(self._off(i, inside, slope)[:, None])[:, 0] / part.noise
            for i, part in enumerate(self.parts)
        ]
        return np.concatenate([*rows, self._prior_rows(p)])

    def jacobian(self, p: Array) -> Array:
        inside = np.clip(p, *self.bounds())
        rows = [self._slope_of(i, inside) for i in range(len(self.parts))]
        return np.vstack([*rows, np.diag(self._prior_weight(len(p)))])

    def _slope_of(self, i: int, p: Array) -> Array:
        part, slope = self.parts[i], p[: self._slopes]
        force, launch = self._force(i, p)
        value, own = linear(part.on(self.knots, slope), force, launch)
        columns = np.zeros((len(value), len(p)))
        first, last = part.reach
        for k in range(self._slopes):
            if self.knots[k] < last and self.knots[k + 1] > first:
                moved = slope.copy()
                moved[k] += _STEP
                columns[:, k] = (self._off(i, p, moved) - value) / _STEP
        shared = columns[:, self._slopes : self._slopes + _SHARED]
        rolling, _, efficiency = p[self._slopes : self._slopes + _SHARED]
        shared[:, 0] = own[:, 0] * force[0] / rolling
        shared[:, 1] = own[:, 1]
        shared[:, 2] = own[:, 2] * force[2] / efficiency
        mine = columns[:, self._own(i)]
        mine[:, 0] = own[:, 0] * part.weight_n * rolling
        mine[:, 1] = own[:, 2] * efficiency
        mine[:, 2] = own[:, 3]
        return np.asarray(part.projection.whitened(columns) / part.noise)

    def _prior_rows(self, p: Array) -> Array:
        return (p - self._prior_mean(len(p))) * self._prior_weight(len(p))

    def _prior_mean(self, count: int) -> Array:
        prior, mean = self.parts[0].prior, np.zeros(count)
        mean[self._slopes : self._slopes + _SHARED] = prior.mean[[ROLLING, DRAG, EFFICIENCY]]
        return mean

    def _prior_weight(self, count: int) -> Array:
        prior, weight = self.parts[0].prior, np.zeros(count)
        weight[: self._slopes] = 1.0 / SLOPE_SD
        weight[self._slopes : self._slopes + _SHARED] = 1.0 / prior.sd[[ROLLING, DRAG, EFFICIENCY]]
        for i in range(len(self.parts)):
            weight[self._own(i)] = [1.0 / USUAL_SCATTER[0], 1.0 / USUAL_SCATTER[2], 0.0]
        return weight

    def weighed(self, i: int, p: Array) -> Part:
        """The part with its noise as its residuals say, the longer the more they go together."""
        part = self.parts[i]
        r = part.projection.whitened(self._off(i, p, p[: self._slopes])[:, None])[:, 0]
        kept = r[: len(part.task.edges)][part.projection.weight > 0.0]
        free = max(len(kept) - part.task.edges.pulses - _OWN, 1)
        size = float(kept @ kept) / free * correlation_length(kept)
        return replace(part, noise=float(np.sqrt(max(size, 1e-12))))

    def rms(self, i: int, p: Array) -> float:
        """Root mean square of what a run's edges are off, in slots."""
        projection = self.parts[i].projection
        off = projection.misplaced(self._off(i, p, p[: self._slopes]))
        return float(np.sqrt(np.average(off * off, weights=projection.weight)))
