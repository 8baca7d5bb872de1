"""Calibrate: from readings of runs to losses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from unspool.car import Car
from unspool.errors import InputError
from unspool.finding import Finding, in_words
from unspool.model.params import params_of
from unspool.model.simulate import simulate
from unspool.study.calibration.advice import advise
from unspool.study.calibration.data_only_sd import data_only_sd
from unspool.study.calibration.fitted_runs import FittedRun, alike_coasts, fitted_run
from unspool.study.calibration.pool import Pooled, RunSummary, pool
from unspool.study.calibration.posterior_samples import draw
from unspool.study.calibration.priors import Prior, prior_of, states_constant_drag, vouched_prior
from unspool.study.calibration.run_coasts import growing_drag
from unspool.study.calibration.terms import correlation_of, resistance_of, terms_of
from unspool.study.calibration.trajectory import RESISTANCE
from unspool.study.calibration.types import (
    CONSTANT,
    TERMS,
    Calibration,
    CalibrationRun,
    Draws,
    RunOutcome,
    Term,
    with_losses,
)

Progress = Callable[[int, int], None]


def calibrate(runs: Sequence[CalibrationRun], progress: Progress | None = None) -> Calibration:
    """The losses that these runs share.

    The runs are of one car, or of cars alike in wheels and axles, with any windings, weights and
    tracks. A linear drag stays as the first car's file says. The function progress is called with
    the number of runs fitted and of all. Raises InputError when no run can be used.
    """
    if not runs:
        raise InputError("there is no run to calibrate from; give at least one")
    prior = prior_of(runs[0].car)
    fitted: list[FittedRun] = []
    for run in runs:
        fitted.append(fitted_run(run, prior))
        if progress is not None:
            progress(len(fitted), len(runs))
    reference = runs[0].car
    summaries = [s for one in fitted if (s := one.summary(reference)) is not None]
    if not summaries:
        why = "; ".join(f"{one.run.name}: {_why(one.left_out)}" for one in fitted if one.left_out)
        raise InputError(f"none of the runs can be used ({why}); check the car file and the runs")
    return _calibration(fitted, _estimated(summaries, reference))


def _why(left_out: Finding) -> str:
    """What its reading found, or else what the calibration did."""
    return in_words(str(left_out.values.get("found", left_out.code)))


@dataclass(frozen=True)
class _Estimated:
    """The pool of all runs with the prior that it was made with, and the terms drawn from it."""

    pooled: Pooled
    prior: Prior
    draws: Draws
    terms: tuple[Term, ...]


def _estimated(summaries: Sequence[RunSummary], car: Car) -> _Estimated:
    """If the runs leave the constant drag open, the one that the car file states counts."""
    found = _estimated_with(summaries, prior_of(car))
    if found.terms[CONSTANT].known or not states_constant_drag(car):
        return found
    return _estimated_with(summaries, vouched_prior(car))


def _estimated_with(summaries: Sequence[RunSummary], prior: Prior) -> _Estimated:
    pooled = pool(summaries, prior)
    draws = draw(pooled, prior)
    return _Estimated(pooled, prior, draws, terms_of(draws, prior, data_only_sd(pooled, prior)))


def _calibration(fitted: Sequence[FittedRun], found: _Estimated) -> Calibration:
    terms, draws = found.terms, found.draws
    odd = iter(found.pooled.odd.tolist())
    outcomes = tuple(
        _outcome(one, terms, next(odd) if one.fit is not None else 0.0) for one in fitted
    )
    runs = [one.run for one in fitted]
    resistance = resistance_of(draws, runs[0].car.total_mass_kg)
    vouched = tuple(TERMS[i] for i in np.flatnonzero(found.prior.vouched))
    return Calibration(
        terms=terms,
        resistance=resistance,
        correlation=correlation_of(draws),
        runs=outcomes,
        residual_sd_m=_residual_sd(outcomes),
        scatter=float(np.median(draws.scatter[:, RESISTANCE])),
        findings=(
            *advise(runs, terms, outcomes, resistance, vouched),
            *growing_drag(alike_coasts(fitted, outcomes)),
        ),
        car=runs[0].car,
        draws=draws,
        vouched=vouched,
    )


def _outcome(fitted: FittedRun, terms: tuple[Term, ...], odd: float) -> RunOutcome:
    run, use = fitted.run, fitted.use
    modelled = simulate(params_of(with_losses(run.wound_car, terms), run.track)).x
    return RunOutcome(
        name=run.name,
        measured_m=use.rest_m,
        modelled_m=modelled,
        odd=odd,
        left_out=fitted.left_out,
        without_drive=use.without_drive,
        car=run.car.name,
        weight_kg=run.car.weight_mass_kg,
    )


def _residual_sd(outcomes: Sequence[RunOutcome]) -> float | None:
    """Root mean square of measured less modelled distance over the sound runs, in m."""
    misses = [one.miss_m for one in outcomes if not one.is_bad and one.miss_m is not None]
    return float(np.sqrt(np.mean(np.square(misses)))) if misses else None
