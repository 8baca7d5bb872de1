"""Calibrate: from runs to losses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from unspool.car import Car
from unspool.errors import InputError
from unspool.losses.advice import advise
from unspool.losses.draws import draw
from unspool.losses.edges import FEWEST, edges_of
from unspool.losses.one_run import OwnFit, Task, first_guess, fit_run
from unspool.losses.pool import Pooled, Summary, pool
from unspool.losses.priors import Prior, prior_of
from unspool.losses.terms import correlation_of, terms_of
from unspool.losses.types import (
    DRAG,
    EFFICIENCY,
    Calibration,
    CalibrationRun,
    RunOutcome,
    Term,
    with_losses,
)
from unspool.model.machine import machine
from unspool.model.ride import ride
from unspool.motion import follow

Progress = Callable[[int, int], None]
# A run whose edges leave the model by more than this many slots is not a run of this car.
MOST_ASTRAY = 0.5


@dataclass(frozen=True)
class _Fitted:
    """A run with its own fit; reason says why there is none."""

    run: CalibrationRun
    measured_m: float
    fit: OwnFit | None
    reason: str | None = None


def calibrate(runs: Sequence[CalibrationRun], progress: Progress | None = None) -> Calibration:
    """The losses that these runs share.

    The runs are of one car, or of cars alike in wheels and axles, with any windings, weights and
    tracks; a linear drag stays as the first car's file says. progress is called with the number of
    runs done and of all. Raises InputError when no run can be used.
    """
    if not runs:
        raise InputError("there is no run to calibrate from; give at least one")
    prior = prior_of(runs[0].car)
    fitted = [_fit_and_tell(run, prior, i, len(runs), progress) for i, run in enumerate(runs)]
    usable = [one for one in fitted if one.fit is not None]
    if not usable:
        told = "; ".join(f"{one.run.name}: {one.reason}" for one in fitted)
        raise InputError(f"none of the runs can be used ({told}); check the car file and the runs")
    pooled = pool([_summary(one, runs[0].car) for one in usable], prior)
    return _calibration(runs, fitted, pooled, prior)


def _fit_and_tell(
    run: CalibrationRun, prior: Prior, done: int, count: int, progress: Progress | None
) -> _Fitted:
    fitted = _fitted(run, prior)
    if progress is not None:
        progress(done + 1, count)
    return fitted


def _fitted(run: CalibrationRun, prior: Prior) -> _Fitted:
    car = run.wound_car
    motion = follow(run.train, car)
    edges = edges_of(motion, car)
    if len(edges) < FEWEST:
        return _Fitted(run, motion.stop_m, None, f"only {len(edges)} edges belong to a run")
    task = Task(edges, machine(car, run.track), run.track.air_density_kg_m3)
    start = first_guess(task, float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY]))
    fit = fit_run(task, start)
    if fit.rms_slots > MOST_ASTRAY:
        reason = (
            f"its edges leave the model by {fit.rms_slots:.1f} slots: another winding, a string "
            "that held, or a hand in the way"
        )
        return _Fitted(run, motion.stop_m, None, reason)
    return _Fitted(run, motion.stop_m, fit)


def _summary(fitted: _Fitted, reference: Car) -> Summary:
    car = fitted.run.car
    both = car.frontal_area_m2 is not None and reference.frontal_area_m2 is not None
    ratio = car.drag_area_m2 / reference.drag_area_m2 if both else 1.0
    assert fitted.fit is not None
    return Summary(fitted.fit, car.total_mass_kg, ratio)


def _calibration(
    runs: Sequence[CalibrationRun], fitted: Sequence[_Fitted], pooled: Pooled, prior: Prior
) -> Calibration:
    draws = draw(pooled, prior)
    terms = terms_of(draws, prior)
    odd = iter(pooled.odd.tolist())
    outcomes = tuple(
        _outcome(one, terms, next(odd) if one.fit is not None else 0.0) for one in fitted
    )
    return Calibration(
        terms=terms,
        correlation=correlation_of(draws),
        runs=outcomes,
        residual_sd_m=_residual_sd(outcomes),
        scatter=float(np.median(draws.scatter)),
        advice=advise(runs, terms, outcomes),
        car=runs[0].car,
        draws=draws,
    )


def _outcome(fitted: _Fitted, terms: tuple[Term, ...], odd: float) -> RunOutcome:
    run = fitted.run
    car = with_losses(run.wound_car, terms)
    modelled = ride(machine(car, run.track)).x
    return RunOutcome(run.name, fitted.measured_m, modelled, odd, fitted.reason)


def _residual_sd(outcomes: Sequence[RunOutcome]) -> float | None:
    """Root mean square of measured less modelled distance over the sound runs, in m."""
    misses = [one.measured_m - one.modelled_m for one in outcomes if not one.is_bad]
    return float(np.sqrt(np.mean(np.square(misses)))) if misses else None
