"""One run as the floor's fit sees it: its edges, its own forces, and where on the floor it lies."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.params import params_of
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.study.calibration.priors import Prior, prior_of
from unspool.study.calibration.run_fit import RunTask, first_guess, fit_run, sound_edges
from unspool.study.calibration.run_use import run_use
from unspool.study.calibration.types import DRAG, EFFICIENCY, Array, CalibrationRun


@dataclass(frozen=True)
class FloorRun:
    """A run and where it lies: launched at start_m on the floor, back if towards 0."""

    run: CalibrationRun
    start_m: float = 0.0
    back: bool = False


@dataclass(frozen=True)
class SlopeRun:
    """A placed run with the fit that it has by itself on a level floor.

    force: (3,) resistance in N, drag area in m2, efficiency. noise: the sd of a residual that
    counts once.
    """

    placed: FloorRun
    task: RunTask
    projection: PatternProjection
    force: Array
    launch_s: float
    noise: float
    prior: Prior

    @classmethod
    def of(cls, placed: FloorRun) -> SlopeRun | None:
        """None if its reading warns of the run or its drive, or it has too few edges."""
        run = placed.run
        use = run_use(run)
        if use.left_out is not None or use.begin_m > 0.0:
            return None
        car = run.wound_car
        prior = prior_of(car)
        level = replace(params_of(car, run.track), level_m=(0.0,), height_m=(0.0,))
        task = RunTask.of(run.reading.motion, car, level, run.track.air_density_kg_m3)
        guess = first_guess(task, float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY]))
        fit = fit_run(task, guess)
        kept, r = sound_edges(task, fit.force, fit.launch_s)
        noise = float(np.sqrt(np.mean(r[kept] ** 2)))
        return cls(placed, task, task.projection(kept), fit.force, fit.launch_s, noise, prior)

    @property
    def weight_n(self) -> float:
        return self.task.machine.total_kg * STANDARD_GRAVITY

    @property
    def reach(self) -> tuple[float, float]:
        """The two ends of the run on the floor, the lesser first."""
        edges, start_m = self.task.edges, self.placed.start_m
        way = float(edges.boundary[-1] - edges.boundary[0] + 1) * edges.pitch_m
        end = start_m - way if self.placed.back else start_m + way
        return min(start_m, end), max(start_m, end)

    def on(self, knots: Array, slope: Array) -> RunTask:
        """The task on a floor of these slopes between the knots."""
        height = np.r_[0.0, np.cumsum(slope * np.diff(knots))]
        x = knots - self.placed.start_m
        if self.placed.back:
            x, height = -x[::-1], height[::-1]
        levels = tuple(x.tolist()), tuple(height.tolist())
        on_floor = replace(self.task.machine, level_m=levels[0], height_m=levels[1])
        return replace(self.task, machine=on_floor)
