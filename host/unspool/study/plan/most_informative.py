"""The winding whose run would show most about the losses, after the planned one was run.

A run shows its distance, its duration and its top speed. Each is measured well, but the resistance
differs from run to run and moves all three together. Let J be their derivatives by the loss terms,
R their covariance, and C the covariance of what is known of the terms. A run adds J' R^-1 J to the
inverse of C (Gauss and Markov). The most informative winding makes the determinant of that sum
largest, so that the least volume of doubt is left (D-optimal design; Atkinson, Donev, Tobias,
Optimum Experimental Designs, 2007).

Rolling and constant drag count as one term here: no winding can separate them, only another mass.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.batch import BatchPrediction
from unspool.model.number import Floats
from unspool.study.calibration import Calibration
from unspool.study.calibration.priors import prior_of
from unspool.study.calibration.types import CONSTANT, DRAG, EFFICIENCY, ROLLING, TERMS
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.search import Optimum

# As shares, of one winding (common practice): how the resistance differs between runs, and how
# closely a run's figures are measured and modelled.
SCATTER, MEASURED = 0.01, 0.002
# Candidates to compare, in closed form or solved.
MOST_WINDINGS = 400
ROUND_TURNS = 0.25
# Of the drop. A shorter winding would be informative, too, but nobody would wind it.
LEAST_DROP = 0.9
# The terms that a winding can show; the first stands for all resistance that is always there.
SHOWN = (ROLLING, DRAG, EFFICIENCY)
# A derivative's step, in standard deviations of what is known: small enough to be straight.
STEP = 0.1


@dataclass(frozen=True)
class InformativeWinding:
    """A winding within the limits; `term` gains most by it over a second run of the plan."""

    turns: tuple[float, ...]
    distance_m: float
    term: str


def most_informative(
    task: PlanningTask, best: Optimum, calibration: Calibration | None = None
) -> InformativeWinding | None:
    """The best of all but the planned winding; None if there is no other."""
    turns = _candidates(task, best)
    runs = task.evaluate(turns).runs
    if len(turns) < 2 or not np.all(np.isfinite(runs.distance_m)):
        return None
    factor = known_factor(task.car, calibration)
    added = _information(task, turns, runs, factor)
    # In units of what is known before, C is the identity. Candidate 0 is the planned winding.
    both = np.eye(len(SHOWN)) + added[0] + added
    chosen = 1 + int(np.argmax(np.linalg.slogdet(both[1:]).logabsdet))
    again, then = (np.diag(factor @ np.linalg.inv(both[i]) @ factor.T) for i in (0, chosen))
    term = int(np.argmax(again / then))
    return InformativeWinding(
        tuple(turns[chosen].tolist()),
        float(runs.distance_m[chosen]),
        TERMS[SHOWN[term]],
    )


def _candidates(task: PlanningTask, best: Optimum) -> Floats:
    """(n, tiers) the planned winding, then others within the limits, in round turns."""
    grid = best.grid
    near = np.floor(grid.turns[grid.allowed] / ROUND_TURNS + 1e-6) * ROUND_TURNS
    near = np.unique(near[near @ task.turn_m >= LEAST_DROP * task.car.drop_m], axis=0)
    if len(near) > MOST_WINDINGS:
        near = near[np.linspace(0, len(near) - 1, MOST_WINDINGS).astype(np.intp)]
    if len(near):
        near = near[task.evaluate(near).allowed]
    return np.concatenate([best.turns[None, :], near])


def known_factor(car: Car, calibration: Calibration | None) -> Floats:
    """(3, 3) factor F with F F' the covariance of what is known of the terms SHOWN."""
    sd = prior_of(car).sd
    covariance = np.diag(sd**2)
    if calibration is not None:
        # A term that no run moved must keep the covariance positive.
        covariance = np.cov(calibration.draws.terms.T) + np.diag((1e-3 * sd) ** 2)
    joined = np.eye(len(TERMS))
    joined[ROLLING, CONSTANT] = 1.0 / (car.total_mass_kg * STANDARD_GRAVITY)
    rows = joined[list(SHOWN)]
    return np.asarray(np.linalg.cholesky(rows @ covariance @ rows.T), dtype=np.float64)


def _information(
    task: PlanningTask, turns: Floats, runs: BatchPrediction, factor: Floats
) -> Floats:
    """(n, 3, 3): what each run adds to the inverse of C, in columns of the factor."""
    slopes = _slopes(task, turns, runs, factor)
    losses = task.car.losses
    resistance = losses.constant_drag_n / (task.car.total_mass_kg * STANDARD_GRAVITY)
    own = SCATTER * (resistance + losses.rolling_coefficient) * slopes[:, :, :1]
    noise = own @ own.transpose(0, 2, 1) + MEASURED**2 * np.eye(slopes.shape[1])
    by_column = slopes @ factor
    return np.asarray(by_column.transpose(0, 2, 1) @ np.linalg.solve(noise, by_column))


def _slopes(task: PlanningTask, turns: Floats, runs: BatchPrediction, factor: Floats) -> Floats:
    """(n, 3 figures, 3 terms): by which share each figure moves with a unit of each term."""
    base = _figures(runs)
    steps = STEP * np.sqrt(np.sum(factor**2, axis=1))
    if task.car.losses.drive_efficiency + steps[-1] > 1.0:
        steps[-1] *= -1.0
    by_term = []
    for which, step in zip(SHOWN, steps.tolist(), strict=True):
        moved = replace(task, car=_moved(task.car, which, step)).evaluate(turns).runs
        by_term.append((_figures(moved) - base) / (step * base))
    return np.stack(by_term, axis=2)


def _figures(runs: BatchPrediction) -> Floats:
    return np.stack([runs.distance_m, runs.duration_s, runs.peak_speed_m_s], axis=1)


def _moved(car: Car, which: int, by: float) -> Car:
    """The car with one of its terms moved."""
    losses = car.losses
    if which == DRAG:
        coefficient = car.drag_coefficient or 1.0
        area = (car.drag_area_m2 + by) / coefficient
        return replace(car, frontal_area_m2=area, drag_coefficient=coefficient)
    if which == ROLLING:
        losses = replace(losses, rolling_coefficient=losses.rolling_coefficient + by)
    else:
        losses = replace(losses, drive_efficiency=losses.drive_efficiency + by)
    return replace(car, losses=losses)
