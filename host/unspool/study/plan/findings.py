"""What a builder should know about a planned winding."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.car import Car
from unspool.finding import Finding, note, warning
from unspool.model import PredictionCode
from unspool.model.outcome import Prediction
from unspool.study.plan.codes import PlanCode
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.goal import A_HIT_M, Aim

# Of the mark: a stop farther from it than this misses it.
_MISSED = 0.01


def findings(
    task: PlanningTask, step: float, wound: Car, prediction: Prediction
) -> tuple[Finding, ...]:
    """The plan's own first, then those of its prediction. step: what the turns are multiples of.

    Not the drop that is not used: a plan chooses how much of it to use.
    """
    of_prediction = [f for f in prediction.findings if f.code != PredictionCode.DROP_NOT_USED]
    return (
        *_step(task, step),
        *_mark(task, prediction),
        *_not_known(prediction),
        *_tapers(wound),
        *of_prediction,
    )


def _step(task: PlanningTask, step: float) -> Iterator[Finding]:
    if step < task.turn_step:
        yield note(PlanCode.FINER_TURNS, asked_turns=task.turn_step, turns=step)


def _mark(task: PlanningTask, prediction: Prediction) -> Iterator[Finding]:
    if task.goal.aim is not Aim.REACH:
        return
    past = prediction.distance_m - task.goal.place_m
    if abs(past) > max(_MISSED * task.goal.place_m, A_HIT_M):
        yield warning(PlanCode.MARK_MISSED, past_m=past, mark_m=task.goal.place_m)


def _not_known(prediction: Prediction) -> Iterator[Finding]:
    if prediction.traction_margin is None:
        yield warning(PlanCode.TRACTION_NOT_KNOWN)
    if prediction.string_margin is None:
        yield warning(PlanCode.STRING_STRENGTH_NOT_KNOWN)


def _tapers(wound: Car) -> Iterator[Finding]:
    for tier in wound.drum:
        if tier.tapered and tier.turns > 0.0:
            yield note(PlanCode.TAPER_ASSUMED, tier=tier.name)
