"""Calibrate: from runs to losses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car
from unspool.errors import InputError
from unspool.finding import Finding, in_words, warning
from unspool.model.params import params_of
from unspool.model.simulate import simulate
from unspool.reading.motion import follow
from unspool.study.calibration.advice import advise
from unspool.study.calibration.coasts import Coast
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.data_only_sd import alone_sd
from unspool.study.calibration.outliers import astray_limit
from unspool.study.calibration.pool import Pooled, Summary, pool
from unspool.study.calibration.posterior_samples import draw
from unspool.study.calibration.priors import Prior, prior_of, states_constant_drag, vouched_prior
from unspool.study.calibration.run_coasts import coast_of, growing_drag
from unspool.study.calibration.run_fit import FEWEST_EDGES, OwnFit, Task, first_guess, fit_run
from unspool.study.calibration.terms import correlation_of, resistance_of, terms_of
from unspool.study.calibration.trajectory import Force, places
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    TERMS,
    Calibration,
    CalibrationRun,
    Draws,
    RunOutcome,
    Term,
    with_losses,
)

Progress = Callable[[int, int], None]
# Edges that end so far before the rest that they point to, in slots and as a share, were cut short.
CUT_SLOTS, CUT_SHARE = 3.0, 0.03
# Cars whose masses differ by less than this share coast alike.
ONE_MASS = 0.02


@dataclass(frozen=True)
class _Fitted:
    """A run with its own fit; left_out says why there is none."""

    run: CalibrationRun
    measured_m: float
    fit: OwnFit | None
    left_out: Finding | None = None
    launch_seen: bool = True
    coast: Coast | None = None


def calibrate(runs: Sequence[CalibrationRun], progress: Progress | None = None) -> Calibration:
    """The losses that these runs share.

    The runs are of one car, or of cars alike in wheels and axles, with any windings, weights and
    tracks; a linear drag stays as the first car's file says. progress is called with the number of
    runs done and of all. Raises InputError when no run can be used.
    """
    if not runs:
        raise InputError("there is no run to calibrate from; give at least one")
    prior = prior_of(runs[0].car)
    fitted: list[_Fitted] = []
    for run in runs:
        fitted.append(_fitted(run, prior))
        if progress is not None:
            progress(len(fitted), len(runs))
    fitted = _without_astray(fitted)
    usable = [one for one in fitted if one.fit is not None]
    if not usable:
        why = "; ".join(
            f"{one.run.name}: {in_words(one.left_out.code)}" for one in fitted if one.left_out
        )
        raise InputError(f"none of the runs can be used ({why}); check the car file and the runs")
    reference = runs[0].car
    return _calibration(fitted, _told([_summary(one, reference) for one in usable], reference))


@dataclass(frozen=True)
class _Told:
    """The pool of all runs with the prior that it was made with, and the terms drawn from it."""

    pooled: Pooled
    prior: Prior
    draws: Draws
    terms: tuple[Term, ...]


def _told(summaries: Sequence[Summary], car: Car) -> _Told:
    """What the runs tell; where they leave the constant drag open, the car file's word for it
    counts.
    """
    told = _told_from(summaries, prior_of(car))
    if told.terms[CONSTANT].known or not states_constant_drag(car):
        return told
    return _told_from(summaries, vouched_prior(car))


def _told_from(summaries: Sequence[Summary], prior: Prior) -> _Told:
    pooled = pool(summaries, prior)
    draws = draw(pooled, prior)
    return _Told(pooled, prior, draws, terms_of(draws, prior, alone_sd(pooled, prior)))


def _fitted(run: CalibrationRun, prior: Prior) -> _Fitted:
    car = run.wound_car
    motion = follow(run.train, car)
    if motion.way_out < FEWEST_EDGES:
        few = warning(CalibrationCode.TOO_FEW_EDGES, run=run.name, edges=int(motion.way_out))
        return _Fitted(run, motion.stop_m, None, few)
    task = Task.of(motion, car, params_of(car, run.track), run.track.air_density_kg_m3)
    start = first_guess(task, float(prior.mean[DRAG]), float(prior.mean[EFFICIENCY]))
    fit = fit_run(task, start)
    if not fit.tells:
        unseen = warning(CalibrationCode.SLOWING_NOT_SEEN, run=run.name)
        return _Fitted(run, motion.stop_m, None, unseen)
    if not motion.launch_seen:
        return _Fitted(run, float("nan"), fit.without_drive(), launch_seen=False)
    measured = float("nan") if _cut_short(task, fit) else motion.stop_m
    coast = coast_of(motion, task.machine.tiers[-1].end_m)
    return _Fitted(run, measured, fit, coast=coast)


def _cut_short(task: Task, fit: OwnFit) -> bool:
    """Whether the edges end well before the car would have come to rest."""
    tried = Force(*fit.force.tolist()).in_machine(task.machine, task.air_density)
    end = task.edges.time_s[-1] - fit.launch_s
    x, _ = places(tried, np.array([end, 1e9]))
    return float(x[1] - x[0]) > max(CUT_SLOTS * task.edges.pitch_m, CUT_SHARE * float(x[1]))


def _without_astray(fitted: Sequence[_Fitted]) -> list[_Fitted]:
    """The runs less those whose edges leave the model by far more than the others' do."""
    astray = [one.fit.rms_slots if one.fit else np.nan for one in fitted]
    limit = astray_limit([rms for rms in astray if rms == rms] or [np.inf])
    return [
        replace(one, fit=None, left_out=_unlike(one.run.name, rms)) if rms > limit else one
        for one, rms in zip(fitted, astray, strict=True)
    ]


def _unlike(run: str, rms_slots: float) -> Finding:
    return warning(CalibrationCode.EDGES_UNLIKE_MODEL, run=run, rms_slots=float(rms_slots))


def _summary(fitted: _Fitted, reference: Car) -> Summary:
    car = fitted.run.car
    both = car.frontal_area_m2 is not None and reference.frontal_area_m2 is not None
    ratio = car.drag_area_m2 / reference.drag_area_m2 if both else 1.0
    assert fitted.fit is not None
    return Summary(fitted.fit, car.total_mass_kg, ratio)


def _calibration(fitted: Sequence[_Fitted], told: _Told) -> Calibration:
    terms, draws = told.terms, told.draws
    odd = iter(told.pooled.odd.tolist())
    outcomes = tuple(
        _outcome(one, terms, next(odd) if one.fit is not None else 0.0) for one in fitted
    )
    runs = [one.run for one in fitted]
    resistance = resistance_of(draws, runs[0].car.total_mass_kg)
    vouched = tuple(TERMS[i] for i in np.flatnonzero(told.prior.vouched))
    return Calibration(
        terms=terms,
        resistance=resistance,
        correlation=correlation_of(draws),
        runs=outcomes,
        residual_sd_m=_residual_sd(outcomes),
        scatter=float(np.median(draws.scatter[:, 0])),
        findings=(
            *advise(runs, terms, outcomes, resistance, vouched),
            *growing_drag(_alike_coasts(fitted, outcomes)),
        ),
        car=runs[0].car,
        draws=draws,
        vouched=vouched,
    )


def _alike_coasts(fitted: Sequence[_Fitted], outcomes: Sequence[RunOutcome]) -> list[Coast]:
    """Coasts of the sound runs on a level floor with the first car's mass: one law serves them."""
    mass = fitted[0].run.car.total_mass_kg
    return [
        one.coast
        for one, outcome in zip(fitted, outcomes, strict=True)
        if one.coast is not None
        and not outcome.is_bad
        and len(one.run.track.distance_m) < 2
        and abs(one.run.car.total_mass_kg - mass) < ONE_MASS * mass
    ]


def _outcome(fitted: _Fitted, terms: tuple[Term, ...], odd: float) -> RunOutcome:
    run = fitted.run
    car = with_losses(run.wound_car, terms)
    modelled = simulate(params_of(car, run.track)).x
    seen = fitted.launch_seen
    return RunOutcome(run.name, fitted.measured_m, modelled, odd, fitted.left_out, seen)


def _residual_sd(outcomes: Sequence[RunOutcome]) -> float | None:
    """Root mean square of measured less modelled distance over the sound runs, in m."""
    misses = np.array([one.measured_m - one.modelled_m for one in outcomes if not one.is_bad])
    misses = misses[np.isfinite(misses)]
    return float(np.sqrt(np.mean(misses**2))) if len(misses) else None
