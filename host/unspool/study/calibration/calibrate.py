"""Calibrate: from readings of runs to losses."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car, Track
from unspool.errors import InputError
from unspool.finding import Finding, in_words
from unspool.language import _
from unspool.model.params import params_of
from unspool.model.simulate import simulate
from unspool.study.calibration.advice import advise
from unspool.study.calibration.car_errors import CarError, errors_of_all
from unspool.study.calibration.data_only_sd import data_only_sd
from unspool.study.calibration.drive_doubt import ShownDrive, drive_doubt
from unspool.study.calibration.fitted_runs import (
    FittedRun,
    alike_coasts,
    joint_run,
    with_enough_edges,
)  # fmt: skip
from unspool.study.calibration.floor import UnknownFloor
from unspool.study.calibration.joint_fit import JointFit, joint_fit
from unspool.study.calibration.pool import Pooled, pool
from unspool.study.calibration.posterior_samples import draw
from unspool.study.calibration.priors import Prior, prior_of, states_constant_drag, vouched_prior
from unspool.study.calibration.run_coasts import growing_drag
from unspool.study.calibration.shared_prior import SharedPrior
from unspool.study.calibration.tapes import Tapes
from unspool.study.calibration.terms import correlation_of, resistance_of, speed_drag_of, terms_of
from unspool.study.calibration.types import (
    CONSTANT,
    EFFICIENCY,
    TERMS,
    Array,
    Calibration,
    CalibrationRun,
    Draws,
    RunOutcome,
    Term,
    with_losses,
)

Progress = Callable[[int, int], None]
Errors = tuple[CarError, ...]


def calibrate(runs: Sequence[CalibrationRun], progress: Progress | None = None) -> Calibration:
    """The losses that these runs share.

    The runs are of one car, or of cars alike in wheels and axles, with any windings, weights and
    tracks. What was measured of the cars, and the turns that were wound, are uncertain: the fit
    holds what their errors can do. The function progress is called with the rounds of fitting done
    and of all. Raises InputError when no run can be used.
    """
    return calibration_of(estimate(runs, None, progress))


def estimate(
    runs: Sequence[CalibrationRun], floor: UnknownFloor | None, progress: Progress | None = None
) -> Estimated:
    """All that the runs share, with an unknown floor under them if their tracks do not give it.

    Raises InputError when no run can be used.
    """
    if not runs:
        raise InputError(_("there is no run to calibrate from; give at least one"))
    reference, prior = runs[0].car, prior_of(runs[0].car)
    fitted = [with_enough_edges(FittedRun.before_fit(run)) for run in runs]
    used = [i for i, one in enumerate(fitted) if one.left_out is None]
    errors = errors_of_all([runs[i].wound_car for i in used])
    shared = SharedPrior.of(prior, len(errors), floor.mean if floor else np.zeros(0))
    if used:
        floors = [floor.under(i) if floor else None for i in used]
        tasks = [
            joint_run(fitted[i], reference, prior, errors, under)
            for i, under in zip(used, floors, strict=True)
        ]
        fit = joint_fit(tasks, shared, progress)
        for i, summary in zip(used, fit.runs, strict=True):
            fitted[i] = fitted[i].told(summary)
        if told := tuple(one.fit for one in fitted if one.fit is not None):
            found = _posterior(replace(fit, runs=told), shared, reference)
            return Estimated(tuple(fitted), errors, found)
    why = "; ".join(f"{one.run.name}: {_why(one.left_out)}" for one in fitted if one.left_out)
    raise InputError(
        _("none of the runs can be used ({why}); check the car file and the runs", why=why)
    )


def _why(left_out: Finding) -> str:
    """What its reading found, or else what the calibration did."""
    return in_words(str(left_out.values.get("found", left_out.code)))


@dataclass(frozen=True)
class _Posterior:
    """The pool of all runs with the prior that it was made with, and the terms drawn from it."""

    pooled: Pooled
    prior: Prior
    draws: Draws
    terms: tuple[Term, ...]


@dataclass(frozen=True)
class Estimated:
    """The runs with their fits, what was measured and may be off, and what the runs show."""

    fitted: tuple[FittedRun, ...]
    errors: Errors
    found: _Posterior

    @property
    def slopes(self) -> Array:
        """(n, slopes) equally likely slopes of an unknown floor."""
        return self.found.draws.slopes

    def on(self, tracks: Sequence[Track]) -> Estimated:
        """With these floors under the runs, as the fit found them."""
        laid = [
            replace(one, run=replace(one.run, track=track))
            for one, track in zip(self.fitted, tracks, strict=True)
        ]
        return replace(self, fitted=tuple(laid))


def _posterior(fit: JointFit, prior: SharedPrior, car: Car) -> _Posterior:
    """If the runs leave the constant drag open, the one that the car file states counts."""
    found = _posterior_with(fit, prior)
    if found.terms[CONSTANT].known or not states_constant_drag(car):
        return found
    return _posterior_with(fit, prior.with_terms(vouched_prior(car)))


def _posterior_with(fit: JointFit, prior: SharedPrior) -> _Posterior:
    shared, terms = prior.with_clock(), prior.terms
    pooled = pool(fit, shared)
    draws = draw(pooled, shared)
    return _Posterior(pooled, terms, draws, terms_of(draws, terms, data_only_sd(pooled, shared)))


def calibration_of(estimated: Estimated) -> Calibration:
    """What it means for the builder."""
    fitted, errors, found = estimated.fitted, estimated.errors, estimated.found
    terms, draws = found.terms, found.draws
    odd = iter(found.pooled.odd.tolist())
    outcomes = tuple(_outcome(one, found, next(odd) if one.fit else 0.0) for one in fitted)
    runs = [one.run for one in fitted]
    resistance = resistance_of(draws, runs[0].car.total_mass_kg)
    speed_drag = speed_drag_of(draws, runs[0].track.air_density_kg_m3, _fastest(runs))
    vouched = tuple(TERMS[i] for i in np.flatnonzero(found.prior.vouched))
    return Calibration(
        terms=terms,
        resistance=resistance,
        speed_drag=speed_drag,
        correlation=correlation_of(draws),
        runs=outcomes,
        residual_sd_m=_residual_sd(outcomes),
        scatter=float(np.median(draws.scatter[:, 0])),
        findings=(
            *_doubts(estimated, outcomes),
            *advise(runs, terms, outcomes, resistance, speed_drag, vouched),
            *growing_drag(alike_coasts(fitted, outcomes)),
        ),
        car=runs[0].car,
        draws=draws,
        errors=errors,
        vouched=vouched,
    )


def _doubts(estimated: Estimated, outcomes: Sequence[RunOutcome]) -> Iterator[Finding]:
    """What speaks against the first car's file: losses are no better than it."""
    found, runs = estimated.found, [one.run for one in estimated.fitted]
    car = runs[0].car
    taped = Tapes.of([
        run for run, one in zip(runs, outcomes, strict=True)
        if not one.is_bad and run.car.encoder_wheel == car.encoder_wheel
    ])  # fmt: skip
    if taped and (doubt := taped.doubt(car)):
        yield doubt
    shown = ShownDrive.of(found.pooled, found.prior)
    if shown and found.terms[EFFICIENCY].known:
        yield from drive_doubt(shown, car, taped)


def _outcome(fitted: FittedRun, found: _Posterior, odd: float) -> RunOutcome:
    run, use = fitted.run, fitted.use
    car = with_losses(run.car.wound(fitted.turns), found.terms)
    return RunOutcome(
        name=run.name,
        measured_m=use.rest_m,
        modelled_m=simulate(params_of(car, run.track)).x,
        odd=odd,
        left_out=fitted.left_out,
        without_drive=use.without_drive,
        car=run.car.name,
        weight_kg=run.car.weight_mass_kg,
        turns=fitted.turns if fitted.fit else (),
        turns_sd=fitted.turns_sd,
    )


def _fastest(runs: Sequence[CalibrationRun]) -> float:
    return max(run.reading.peak_speed_m_s for run in runs)


def _residual_sd(outcomes: Sequence[RunOutcome]) -> float | None:
    """Root mean square of measured less modelled distance over the sound runs, in m."""
    misses = [one.miss_m for one in outcomes if not one.is_bad and one.miss_m is not None]
    return float(np.sqrt(np.mean(np.square(misses)))) if misses else None
