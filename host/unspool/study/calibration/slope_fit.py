"""Slopes, shared losses and each run's own part of them, fitted to the edges of all runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

import numpy as np
from scipy.optimize import least_squares

from unspool.study.calibration.pool import USUAL_SCATTER
from unspool.study.calibration.run_fit import correlation_length, linear
from unspool.study.calibration.slope_runs import SlopeRun
from unspool.study.calibration.trajectory import DRAG_AREA, DRIVE, RESISTANCE
from unspool.study.calibration.types import DRAG, EFFICIENCY, ROLLING, Array

SLOPE_SD = 0.02  # of a floor, rise over way, between two knots, before any run
STEEPEST = 0.25  # a ramp that no such car climbs; keeps the model's angles sound
# A floor's unevenness makes every run leave the model. One that leaves it by so many slots, and by
# so many times more than the others do, fits no floor that fits them.
DISAGREES_SLOTS, DISAGREES_TIMES = 0.5, 4.0
_STEP = 1e-5  # of a slope, for derivatives: a tenth of a millimetre in ten metres
_ENOUGH = 1e-5  # share by which a step betters a fit of some thousand edges: far below its noise
_MOST_STEPS = 30  # such fits end after some ten
_ROUNDS = 2  # of fitting and weighing the runs by their residuals
# A launch's time has no prior; its scale for the search is what edges show it to.
_LAUNCH_SCALE_S = 0.05


@dataclass(frozen=True)
class Solved:
    """Slopes (k - 1,) between the knots (k,), their covariance, and each run's misplacement.

    rms_slots: the root mean square of what each run's edges are off, in slots.
    """

    knots: Array
    slope: Array
    covariance: Array
    rms_slots: tuple[float, ...]

    def disagreeing(self) -> tuple[bool, ...]:
        """For each run whether it is off by far more than the others."""
        limit = max(DISAGREES_SLOTS, DISAGREES_TIMES * median(self.rms_slots))
        return tuple(rms > limit for rms in self.rms_slots)


def solve(runs: Sequence[SlopeRun], knots: Array) -> Solved:
    """The slopes that fit these runs best."""
    fit = _FloorFit(runs, knots)
    p = fit.start()
    for _ in range(_ROUNDS):
        p = least_squares(
            fit.residual,
            p,
            fit.jacobian,
            method="lm",
            x_scale=fit.scale(),
            ftol=_ENOUGH,
            max_nfev=_MOST_STEPS,
        ).x
        p = np.clip(p, *fit.bounds())
        fit = replace(fit, runs=[fit.weighed(i, p) for i in range(len(runs))])
    jacobian, slopes = fit.jacobian(p), fit.layout.slopes
    covariance = np.asarray(np.linalg.inv(jacobian.T @ jacobian)[slopes, slopes])
    rms = tuple(fit.rms(i, p) for i in range(len(runs)))
    return Solved(knots, p[slopes], covariance, rms)


@dataclass(frozen=True)
class _Layout:
    """Where each parameter stands in the vector of all of them.

    First come the slopes, then the losses that the runs share, then what is each run's own. That is
    by which share its resistance and its efficiency differ from the shared ones, and its launch's
    time.
    """

    slope_count: int

    @property
    def slopes(self) -> slice:
        return slice(0, self.slope_count)

    @property
    def rolling(self) -> int:
        return self.slope_count

    @property
    def drag_area(self) -> int:
        return self.slope_count + 1

    @property
    def efficiency(self) -> int:
        return self.slope_count + 2

    def more_resistance(self, run: int) -> int:
        return self.slope_count + 3 + 3 * run

    def more_efficiency(self, run: int) -> int:
        return self.more_resistance(run) + 1

    def launch_s(self, run: int) -> int:
        return self.more_resistance(run) + 2

    def vector(
        self,
        slope: float,
        shared: tuple[float, float, float],
        own: Sequence[tuple[float, float, float]],
    ) -> Array:
        """The whole vector: one value for all slopes, the shared losses, and three for each run."""
        return np.concatenate([np.full(self.slope_count, slope), shared, np.ravel(own)])


@dataclass(frozen=True)
class _FloorFit:
    runs: Sequence[SlopeRun]
    knots: Array

    @property
    def layout(self) -> _Layout:
        return _Layout(len(self.knots) - 1)

    def start(self) -> Array:
        forces = np.array([run.force for run in self.runs])
        weights = [run.weight_n for run in self.runs]
        shared = (
            float(np.median(forces[:, RESISTANCE] / weights)),
            float(np.median(forces[:, DRAG_AREA])),
            float(np.median(forces[:, DRIVE])),
        )
        own = [(0.0, 0.0, run.launch_s) for run in self.runs]
        return np.asarray(np.clip(self.layout.vector(0.0, shared, own), *self.bounds()))

    def bounds(self) -> tuple[Array, Array]:
        n, layout = len(self.runs), self.layout
        low = layout.vector(-STEEPEST, (1e-5, 0.0, 0.05), [(-0.5, -0.5, -1e3)] * n)
        return low, layout.vector(STEEPEST, (0.5, 10.0, 1.5), [(0.5, 0.5, 1e3)] * n)

    def scale(self) -> Array:
        weight = self._prior_weight()
        return np.asarray(1.0 / np.where(weight > 0.0, weight, 1.0 / _LAUNCH_SCALE_S))

    def _force(self, i: int, p: Array) -> tuple[Array, float]:
        """The run's forces, (3,), and its launch."""
        at = self.layout
        resistance = self.runs[i].weight_n * p[at.rolling] * (1.0 + p[at.more_resistance(i)])
        efficiency = p[at.efficiency] * (1.0 + p[at.more_efficiency(i)])
        force = np.array([resistance, p[at.drag_area], efficiency])
        return force, float(p[at.launch_s(i)])

    def _off(self, i: int, p: Array, slope: Array) -> Array:
        force, launch = self._force(i, p)
        return self.runs[i].on(self.knots, slope).residuals(force, launch)[0]

    def residual(self, p: Array) -> Array:
        # The search knows no bounds: the model is asked within them, the prior leads back.
        inside = np.clip(p, *self.bounds())
        slope = inside[self.layout.slopes]
        rows = [
            run.projection.whitened(self._off(i, inside, slope)[:, None])[:, 0] / run.noise
            for i, run in enumerate(self.runs)
        ]
        return np.concatenate([*rows, (p - self._prior_mean()) * self._prior_weight()])

    def jacobian(self, p: Array) -> Array:
        inside = np.clip(p, *self.bounds())
        rows = [self._derivatives(i, inside) for i in range(len(self.runs))]
        return np.vstack([*rows, np.diag(self._prior_weight())])

    def _derivatives(self, i: int, p: Array) -> Array:
        """Of one run's residuals over all parameters."""
        run, at, slope = self.runs[i], self.layout, p[self.layout.slopes]
        force, launch = self._force(i, p)
        value, by_force, by_launch = linear(run.on(self.knots, slope), force, launch)
        columns = np.zeros((len(value), len(p)))
        first, last = run.reach
        for k in range(at.slope_count):
            if self.knots[k] < last and self.knots[k + 1] > first:
                moved = slope.copy()
                moved[k] += _STEP
                columns[:, k] = (self._off(i, p, moved) - value) / _STEP
        by_resistance, by_drive = by_force[:, RESISTANCE], by_force[:, DRIVE]
        columns[:, at.rolling] = by_resistance * force[RESISTANCE] / p[at.rolling]
        columns[:, at.drag_area] = by_force[:, DRAG_AREA]
        columns[:, at.efficiency] = by_drive * force[DRIVE] / p[at.efficiency]
        columns[:, at.more_resistance(i)] = by_resistance * run.weight_n * p[at.rolling]
        columns[:, at.more_efficiency(i)] = by_drive * p[at.efficiency]
        columns[:, at.launch_s(i)] = by_launch
        return np.asarray(run.projection.whitened(columns) / run.noise)

    def _prior_mean(self) -> Array:
        rolling, area, efficiency = self.runs[0].prior.mean[[ROLLING, DRAG, EFFICIENCY]].tolist()
        none = [(0.0, 0.0, 0.0)] * len(self.runs)
        return self.layout.vector(0.0, (rolling, area, efficiency), none)

    def _prior_weight(self) -> Array:
        """One over the prior's sd of each parameter; 0 for the launches, which have none."""
        rolling, area, efficiency = self.runs[0].prior.sd[[ROLLING, DRAG, EFFICIENCY]].tolist()
        own = (1.0 / USUAL_SCATTER[RESISTANCE], 1.0 / USUAL_SCATTER[DRIVE], 0.0)
        shared = (1.0 / rolling, 1.0 / area, 1.0 / efficiency)
        return self.layout.vector(1.0 / SLOPE_SD, shared, [own] * len(self.runs))

    def weighed(self, i: int, p: Array) -> SlopeRun:
        """The run with the noise that its residuals show, the larger the more they correlate."""
        run = self.runs[i]
        off = self._off(i, p, p[self.layout.slopes])
        r = run.projection.whitened(off[:, None])[: len(off), 0]
        kept = r[run.projection.weight > 0.0]
        free = max(len(kept) - run.task.edges.pulses - 3, 1)
        size = float(kept @ kept) / free * correlation_length(kept)
        return replace(run, noise=float(np.sqrt(max(size, 1e-12))))

    def rms(self, i: int, p: Array) -> float:
        """Root mean square of what a run's edges are off, in slots."""
        projection = self.runs[i].projection
        off = projection.misplaced(self._off(i, p, p[self.layout.slopes]))
        return float(np.sqrt(np.average(off * off, weights=projection.weight)))
