"""The next winding: the search, and all that a builder asks about what it found."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.errors import one_fault
from unspool.language import _
from unspool.model import predict, split_times
from unspool.model.number import Floats
from unspool.model.outcome import Prediction
from unspool.model.params import params_of
from unspool.study.calibration import Calibration, predict_with
from unspool.study.plan.evaluate import AFFORDABLE, TURN_STEP, PlanningTask
from unspool.study.plan.findings import findings
from unspool.study.plan.flatness import binding, miscounts, ranges
from unspool.study.plan.goal import Aim, Goal
from unspool.study.plan.hand import HandWinding, wound_by_hand
from unspool.study.plan.infeasible import infeasible, never_stops
from unspool.study.plan.limits import Limits
from unspool.study.plan.most_informative import most_informative
from unspool.study.plan.parts import CarBuild, Owned, builds
from unspool.study.plan.reach import reaches
from unspool.study.plan.search import search
from unspool.study.plan.sensitivity import changes
from unspool.study.plan.types import BestWinding, OnStage, Plan, PlanStage

# Of the windings that a thorough search tries: enough to compare cars.
QUICK_SHARE = 0.05
# A spoke's width, and so much that a drop of usual length still takes a few steps.
TURN_STEPS = (0.05, 2.0)
# Other parts must gain more than this share to be worth fitting.
WORTH_FITTING = 0.0025


def plan(
    car: Car,
    track: Track = FLAT,
    goal: Goal | None = None,
    limits: Limits | None = None,
    owned: Owned | None = None,
    calibration: Calibration | None = None,
    on_stage: OnStage | None = None,
    turn_step: float = TURN_STEP,
) -> Plan:
    """The simplest winding of this car that is within 1 % of the best and keeps the limits.

    The goal is to go farthest unless given. Turns are multiples of turn_step. With a calibration
    the losses are the calibrated ones and the interval is that of one more run.

    Raises InfeasiblePlanError if no winding keeps the limits or reaches a mark to be fast to, or if
    nothing stops the car. Raises InputError for parts that cannot be fitted and a turn_step out of
    bounds.
    """
    _check_step(turn_step)
    report = on_stage or (lambda stage, step, steps: None)
    own = car if calibration is None else calibration.calibrated(car)
    task = PlanningTask(own, track, goal or Goal(), limits or Limits(), turn_step)
    if task.goal.aim is not Aim.FASTEST and params_of(own, track).never_stops:
        raise never_stops(car.name)
    build = _best_build(task, owned, report) if owned else CarBuild(own)
    task = replace(task, car=build.car)
    report(PlanStage.WINDINGS, 1, 1)
    best = search(task, AFFORDABLE)
    if best is None:
        raise infeasible(task)
    return _plan(task, wound_by_hand(task, best), own, build, calibration, report)


def _check_step(turn_step: float) -> None:
    low, high = TURN_STEPS
    if not low <= turn_step <= high:
        raise one_fault(
            "--turn-step",
            f"{turn_step:g}",
            _("a number from {low} to {high}", low=format(low, "g"), high=format(high, "g")),
        )


def _best_build(task: PlanningTask, owned: Owned, report: OnStage) -> CarBuild:
    """The car that does best in a quick search; as its file says if others gain next to nothing."""
    best, most = CarBuild(task.car), -np.inf
    every = builds(task.car, owned)
    for i, one in enumerate(every, 1):
        report(PlanStage.PARTS, i, len(every))
        quick = search(replace(task, car=one.car), int(QUICK_SHARE * AFFORDABLE))
        if quick is None:
            continue
        enough = most + task.goal.tolerance(most, WORTH_FITTING) if isfinite(most) else most
        if quick.score > enough:
            best, most = one, quick.score
    return best


def _plan(
    task: PlanningTask,
    hand: HandWinding,
    own: Car,
    build: CarBuild,
    calibration: Calibration | None,
    report: OnStage,
) -> Plan:
    chosen, best = hand.simplest, hand.best
    wound = task.car.wound(tuple(chosen.turns.tolist()))
    prediction = _predicted(wound, task.track, calibration)
    own_score = float(replace(task, car=own).evaluate(_turns(own)).scores[0])
    report(PlanStage.CHANGES, 1, 1)
    changed = changes(task, chosen)
    report(PlanStage.MOST_INFORMATIVE, 1, 1)
    informative = most_informative(task, chosen, calibration)
    return Plan(
        car=wound,
        own=own,
        track=task.track,
        goal=task.goal,
        limits=task.limits,
        turn_step=hand.step,
        best=_best(task, hand),
        parts=build.parts,
        prediction=prediction,
        own_prediction=_predicted(own, task.track, calibration),
        mark_s=_passes(task, wound),
        own_mark_s=_passes(task, own),
        gain=chosen.score - own_score if isfinite(own_score) else None,
        binding=binding(task, best),
        miscounts=miscounts(task, chosen),
        ranges=ranges(task, best),
        changes=changed,
        most_informative=informative,
        findings=findings(task, hand.step, wound, prediction),
        learnt_from=calibration.learnt_from if calibration else (),
        reaches=reaches(task, wound),
    )


def _best(task: PlanningTask, hand: HandWinding) -> BestWinding:
    turns = tuple(hand.best.turns.tolist())
    run = task.evaluate(hand.best.turns[None, :]).runs
    gain = hand.best.score - hand.simplest.score
    return BestWinding(turns, float(task.goal.distances(run)[0]), gain)


def _turns(car: Car) -> Floats:
    return np.array([[tier.turns for tier in car.drum]])


def _predicted(car: Car, track: Track, calibration: Calibration | None) -> Prediction:
    """As `unspool predict` does for a file with this winding."""
    car = replace(car, drum=tuple(tier for tier in car.drum if tier.turns > 0.0))
    return predict(car, track) if calibration is None else predict_with(calibration, car, track)


def _passes(task: PlanningTask, car: Car) -> float | None:
    if task.goal.mark_m is None:
        return None
    return split_times(car, task.track, [task.goal.mark_m])[0]
