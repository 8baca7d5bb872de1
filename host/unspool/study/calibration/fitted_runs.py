"""The runs that a calibration uses, each as its fit sees it, or why it is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from unspool.car import Car
from unspool.finding import Finding, warning
from unspool.study.calibration.car_errors import CarError
from unspool.study.calibration.coasts import Coast
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.first_guess import first_guess
from unspool.study.calibration.floor import Floor
from unspool.study.calibration.joint_run import JointRun
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.run_coasts import coast_of
from unspool.study.calibration.run_model import RunModel
from unspool.study.calibration.run_summary import RunSummary
from unspool.study.calibration.run_use import FEWEST_EDGES, RunUse, run_use
from unspool.study.calibration.types import (
    DRAG,
    EFFICIENCY,
    Array,
    CalibrationRun,
    RunOutcome,
)

# Cars whose masses differ by less than this share coast alike, within the scatter of repeats.
ONE_MASS = 0.02


@dataclass(frozen=True)
class FittedRun:
    """A run, how much of it is used, and what its fit says; left_out says why there is none."""

    run: CalibrationRun
    use: RunUse
    fit: RunSummary | None = None
    left_out: Finding | None = None

    @classmethod
    def before_fit(cls, run: CalibrationRun) -> FittedRun:
        use = run_use(run)
        return cls(run, use, left_out=use.left_out)

    def told(self, fit: RunSummary) -> FittedRun:
        """With what the fit says, if it says anything."""
        if fit.shows:
            return replace(self, fit=fit)
        left_out = warning(CalibrationCode.SLOWING_NOT_SEEN, run=self.run.name)
        return replace(self, left_out=left_out)

    @property
    def turns(self) -> tuple[float, ...]:
        """On each tier of the drum, as the run shows them, or else as they were said."""
        car = self.run.wound_car
        if self.fit is None:
            return tuple(tier.turns for tier in car.drum)
        return _on_the_drum(car, self.fit.turns)

    @property
    def turns_sd(self) -> tuple[float, ...]:
        return () if self.fit is None else _on_the_drum(self.run.wound_car, self.fit.turns_sd)


def _on_the_drum(car: Car, wound: Array) -> tuple[float, ...]:
    """One number a tier from one a wound tier."""
    each = iter(wound.tolist())
    return tuple(next(each) if tier.turns > 0.0 else 0.0 for tier in car.drum)


def joint_run(
    one: FittedRun, reference: Car, prior: Prior, errors: tuple[CarError, ...], floor: Floor | None
) -> JointRun:
    """For the joint fit; the reference car is the one whose drag area is estimated."""
    run, car = one.run, one.run.wound_car
    model = RunModel.of(
        run.reading.motion, car, run.track, errors, floor,
        counted=run.counted, begin_m=one.use.begin_m,
    )  # fmt: skip
    area, efficiency = float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY])
    both = car.frontal_area_m2 is not None and reference.frontal_area_m2 is not None
    ratio = car.drag_area_m2 / reference.drag_area_m2 if both else 1.0
    forces = first_guess(model, run.track, area, efficiency)
    return JointRun(model, forces, one.use.without_drive is not None, ratio)


def with_enough_edges(one: FittedRun) -> FittedRun:
    """Left out if too few edges are left of it."""
    motion = one.run.reading.motion
    beyond = motion.distance_m[: motion.way_out] >= one.use.begin_m
    count = int(beyond.sum()) if one.use.begin_m > 0.0 else int(motion.way_out)
    if one.left_out is not None or count >= FEWEST_EDGES:
        return one
    few = warning(CalibrationCode.TOO_FEW_EDGES, run=one.run.name, edges=count)
    return replace(one, left_out=few)


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
