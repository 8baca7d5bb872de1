"""Which winding next: the search, and all that a builder asks about what it found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import isfinite

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.errors import InputError
from unspool.model import predict, split_times
from unspool.model.outcome import Prediction
from unspool.model.params import params_of
from unspool.study.calibration import Calibration, predict_with
from unspool.study.plan.cautions import cautions
from unspool.study.plan.evaluate import Task
from unspool.study.plan.flatness import binding, ranges, slips
from unspool.study.plan.goal import Aim, Goal
from unspool.study.plan.infeasible import refusal
from unspool.study.plan.limits import Limits
from unspool.study.plan.most_informative import lesson
from unspool.study.plan.parts import Fitted, Owned, fitted
from unspool.study.plan.search import Found, search
from unspool.study.plan.sensitivity import changes
from unspool.study.plan.types import Plan

# Of the windings that a thorough look tries: enough to tell cars from each other.
QUICK_SHARE = 0.05
# Other parts must gain more than this to be worth fitting.
WORTH_FITTING = 0.0025

Progress = Callable[[str], None]


def plan(
    car: Car,
    track: Track = FLAT,
    goal: Goal | None = None,
    limits: Limits | None = None,
    owned: Owned | None = None,
    calibration: Calibration | None = None,
    progress: Progress | None = None,
) -> Plan:
    """The best winding of this car for the goal, among those that keep the limits.

    The goal is to go farthest unless given. With a calibration the losses are the calibrated ones
    and the interval is that of one more run. progress is told in a word or two what is under way.
    Raises InputError when no winding keeps the limits, none reaches a mark to be fast to, or
    nothing stops the car.
    """
    tell = progress or (lambda _: None)
    own = car if calibration is None else calibration.calibrated(car)
    task = Task(own, track, goal or Goal(), limits or Limits())
    if task.goal.aim is not Aim.FASTEST and params_of(own, track).never_stops:
        raise InputError(
            f"{car.name}: nothing stops this car, so no winding decides where; give "
            "rolling_coefficient or constant_drag_n under [losses]"
        )
    tell("trying windings")
    chosen, task, found = _chosen(task, owned or Owned(), tell)
    return _told(task, found, own, chosen, calibration, tell)


def _chosen(task: Task, owned: Owned, tell: Progress) -> tuple[Fitted, Task, Found]:
    choice = Fitted(task.car)
    if owned:
        choice = _best_parts(task, owned, tell)
        task = replace(task, car=choice.car)
    found = search(task, task.affordable)
    if found is None:
        raise refusal(task)
    return choice, task, found


def _best_parts(task: Task, owned: Owned, tell: Progress) -> Fitted:
    """The car that does best at a quick look; as it is where others gain next to nothing."""
    best, most = Fitted(task.car), -np.inf
    cars = fitted(task.car, owned)
    for i, one in enumerate(cars):
        tell(f"trying parts, {i + 1} of {len(cars)}")
        quick = search(replace(task, car=one.car), int(QUICK_SHARE * task.affordable))
        if quick is None:
            continue
        enough = most + task.goal.share(most, WORTH_FITTING) if isfinite(most) else most
        if quick.score > enough:
            best, most = one, quick.score
    return best


def _told(
    task: Task,
    found: Found,
    own: Car,
    chosen: Fitted,
    calibration: Calibration | None,
    tell: Progress,
) -> Plan:
    wound = task.car.wound(tuple(found.turns.tolist()))
    prediction = _predicted(wound, task.track, calibration)
    tell("changing one thing at a time")
    changed = changes(task, found)
    tell("looking for what would teach most")
    taught = lesson(task, found, calibration)
    binds = binding(task, found)
    own_score = float(replace(task, car=own).tried(_turns(own)).scores[0])
    return Plan(
        car=wound,
        own=own,
        track=task.track,
        goal=task.goal,
        limits=task.limits,
        parts=chosen.parts,
        prediction=prediction,
        own_prediction=_predicted(own, task.track, calibration),
        mark_s=_passes(task, wound),
        own_mark_s=_passes(task, own),
        gain=found.score - own_score if isfinite(own_score) else None,
        binding=binds,
        slips=slips(task, found),
        ranges=ranges(task, found),
        changes=changed,
        lesson=taught,
        cautions=cautions(task, wound, prediction),
        learnt=calibration.learnt_from if calibration else (),
    )


def _turns(car: Car) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.array([[tier.turns for tier in car.drum]])


def _predicted(car: Car, track: Track, calibration: Calibration | None) -> Prediction:
    """As `unspool predict` does for a file that says this winding."""
    car = replace(car, drum=tuple(tier for tier in car.drum if tier.turns > 0.0))
    return predict(car, track) if calibration is None else predict_with(calibration, car, track)


def _passes(task: Task, car: Car) -> float | None:
    if task.goal.mark_m is None:
        return None
    return split_times(car, task.track, [task.goal.mark_m])[0]
