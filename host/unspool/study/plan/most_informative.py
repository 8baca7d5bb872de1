"""The winding that would teach most about the losses, after the planned one was run.

Rolling and constant drag count as one here: no winding tells them apart, only another weight does.
A run tells its distance, its duration and its top speed: each closely by itself, but its resistance
differs from run to run, and moves all three together. With J their derivatives by the loss terms,
R their covariance and C what is known of the terms, a run adds J' R^-1 J to the inverse of C (Gauss
and Markov); the lesson is the winding that leaves the least volume of doubt, which is the most
determinant (D-optimal design; Atkinson, Donev, Tobias, Optimum Experimental Designs, 2007).
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
from unspool.study.plan.evaluate import Task
from unspool.study.plan.search import Found

# Of one winding: how the resistance differs between runs, and how closely a run's figures are read
# and modelled, as shares.
SCATTER, READ = 0.01, 0.002
MOST_LESSONS = 400
ROUND_TURNS = 0.25
# A shorter run would tell, too, but nobody would wind it.
LEAST_DROP = 0.9
# The terms that a winding can tell; the first stands for all resistance that is always there.
TOLD = (ROLLING, DRAG, EFFICIENCY)
# A derivative's step, in standard deviations of what is known.
STEP = 0.1


@dataclass(frozen=True)
class Lesson:
    """A winding within the limits; term is what gains most over a second run of the plan."""

    turns: tuple[float, ...]
    distance_m: float
    term: str


def lesson(task: Task, found: Found, calibration: Calibration | None = None) -> Lesson | None:
    """The best of all but the planned winding; None where there is no other."""
    turns = _windings(task, found)
    runs = task.tried(turns).runs
    if len(turns) < 2 or not np.all(np.isfinite(runs.distance_m)):
        return None
    factor = spread(task.car, calibration)
    told = _told(task, turns, runs, factor)
    # In units of what is known before, C is the identity.
    both = np.eye(len(TOLD)) + told[0] + told
    best = 1 + int(np.argmax(np.linalg.slogdet(both[1:]).logabsdet))
    again, then = (np.diag(factor @ np.linalg.inv(both[i]) @ factor.T) for i in (0, best))
    term = int(np.argmax(again / then))
    return Lesson(
        tuple(turns[best].tolist()),
        float(runs.distance_m[best]),
        TERMS[TOLD[term]],
    )


def _windings(task: Task, found: Found) -> Floats:
    """The planned winding, then others within the limits, in round turns."""
    look = found.look
    near = np.floor(look.turns[look.allowed] / ROUND_TURNS + 1e-6) * ROUND_TURNS
    near = np.unique(near[near @ task.turn_m >= LEAST_DROP * task.car.drop_m], axis=0)
    most = MOST_LESSONS if task.closed else 10
    if len(near) > most:
        near = near[np.linspace(0, len(near) - 1, most).astype(np.intp)]
    if len(near):
        near = near[task.tried(near).allowed]
    return np.concatenate([found.turns[None, :], near])


def spread(car: Car, calibration: Calibration | None) -> Floats:
    """(3, 3) factor of what is known of TOLD: columns of one standard deviation each."""
    sd = prior_of(car).sd
    covariance = np.diag(sd**2)
    if calibration is not None:
        covariance = np.cov(calibration.draws.terms.T) + np.diag((1e-3 * sd) ** 2)
    joined = np.eye(len(TERMS))
    joined[ROLLING, CONSTANT] = 1.0 / (car.total_mass_kg * STANDARD_GRAVITY)
    rows = joined[list(TOLD)]
    return np.asarray(np.linalg.cholesky(rows @ covariance @ rows.T), dtype=np.float64)


def _told(task: Task, turns: Floats, runs: BatchPrediction, factor: Floats) -> Floats:
    """(n, 3, 3): what each run adds to the inverse of what is known, in columns of the factor."""
    slopes = _slopes(task, turns, runs, factor)
    losses = task.car.losses
    resistance = losses.constant_drag_n / (task.car.total_mass_kg * STANDARD_GRAVITY)
    own = SCATTER * (resistance + losses.rolling_coefficient) * slopes[:, :, :1]
    noise = own @ own.transpose(0, 2, 1) + READ**2 * np.eye(slopes.shape[1])
    by_column = slopes @ factor
    return np.asarray(by_column.transpose(0, 2, 1) @ np.linalg.solve(noise, by_column))


def _slopes(task: Task, turns: Floats, runs: BatchPrediction, factor: Floats) -> Floats:
    """(n, 3 figures, 3 terms): by which share each figure moves with a unit of each term."""
    base = _figures(runs)
    steps = STEP * np.sqrt(np.sum(factor**2, axis=1))
    if task.car.losses.drive_efficiency + steps[-1] > 1.0:
        steps[-1] *= -1.0
    by_term = []
    for which, step in zip(TOLD, steps.tolist(), strict=True):
        moved = replace(task, car=_moved(task.car, which, step)).tried(turns).runs
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
