"""Each run with its own fit: what it alone shows of the forces, or why it is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from unspool.car import Car
from unspool.finding import Finding, warning
from unspool.model.params import params_of
from unspool.study.calibration.coasts import Coast
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.pool import RunSummary
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.run_coasts import coast_of
from unspool.study.calibration.run_fit import FEWEST_EDGES, RunFit, RunTask, first_guess, fit_run
from unspool.study.calibration.run_use import RunUse, run_use
from unspool.study.calibration.types import DRAG, EFFICIENCY, CalibrationRun, RunOutcome

# Cars whose masses differ by less than this share coast alike, within the scatter of repeats.
ONE_MASS = 0.02


@dataclass(frozen=True)
class FittedRun:
    """A run, how much of it is used, and its own fit; left_out says why there is none."""

    run: CalibrationRun
    use: RunUse
    fit: RunFit | None = None
    left_out: Finding | None = None

    def summary(self, reference: Car) -> RunSummary | None:
        """For the pool; the reference car is the one whose drag area is estimated."""
        if self.fit is None:
            return None
        car = self.run.car
        both = car.frontal_area_m2 is not None and reference.frontal_area_m2 is not None
        ratio = car.drag_area_m2 / reference.drag_area_m2 if both else 1.0
        return RunSummary(self.fit, car.total_mass_kg, ratio)


def fitted_run(run: CalibrationRun, prior: Prior) -> FittedRun:
    """The run's own fit, from as many of its edges as its reading's findings allow."""
    use = run_use(run)
    if use.left_out is not None:
        return FittedRun(run, use, left_out=use.left_out)
    car, motion = run.wound_car, run.reading.motion
    params, air = params_of(car, run.track), run.track.air_density_kg_m3
    task = RunTask.of(motion, car, params, air, use.begin_m)
    if len(task.edges) < FEWEST_EDGES:
        few = warning(CalibrationCode.TOO_FEW_EDGES, run=run.name, edges=len(task.edges))
        return FittedRun(run, use, left_out=few)
    start = first_guess(task, float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY]))
    fit = fit_run(task, start)
    if not fit.tells:
        return FittedRun(run, use, left_out=warning(CalibrationCode.SLOWING_NOT_SEEN, run=run.name))
    return FittedRun(run, use, fit.without_drive() if use.without_drive else fit)


def alike_coasts(fitted: Sequence[FittedRun], outcomes: Sequence[RunOutcome]) -> list[Coast]:
    """Coasts of the sound runs on a level floor with the first car's mass: one law serves them."""
    mass = fitted[0].run.car.total_mass_kg
    coasts = [
        coast_of(one.run.reading)
        for one, outcome in zip(fitted, outcomes, strict=True)
        if not outcome.is_bad
        and outcome.without_drive is None
        and len(one.run.track.distance_m) < 2
        and abs(one.run.car.total_mass_kg - mass) < ONE_MASS * mass
    ]
    return [coast for coast in coasts if coast is not None]
