"""What a plan holds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from unspool.car import Car, Track
from unspool.finding import Finding
from unspool.model.outcome import Prediction
from unspool.study.plan.flatness import Miscount, TurnsRange
from unspool.study.plan.goal import Goal
from unspool.study.plan.limits import Limits
from unspool.study.plan.most_informative import InformativeWinding
from unspool.study.plan.parts import Part
from unspool.study.plan.reach import Reach
from unspool.study.plan.sensitivity import CarChange


class PlanStage(StrEnum):
    """What is under way while a plan is made."""

    PARTS = "parts"
    WINDINGS = "windings"
    CHANGES = "changes"
    MOST_INFORMATIVE = "most_informative"


# Called with the stage, and which of how many steps of it begins.
OnStage = Callable[[PlanStage, int, int], None]


@dataclass(frozen=True)
class BestWinding:
    """The best winding of the planned car whatever its turns: turns on each tier, in drum order.

    `gain` is what it betters the planned winding by, in the goal's unit; 0 if they are the same.
    """

    turns: tuple[float, ...]
    distance_m: float
    gain: float


@dataclass(frozen=True)
class Plan:
    """The winding to try next.

    `car` is wound as planned, with the `parts` that do better than its own: the simplest winding
    that is nearly as good as the `best` one. `turn_step` is what its turns are multiples of. `own`
    is the car as its file says. `mark_s`, `own_mark_s`: when each passes the goal's mark, None if
    there is none or it is not reached. `gain` is what the plan betters `own` by in the goal's unit,
    None if `own` does not do it at all. `binding` names the limits that hold the goal back.
    `learnt_from` names the runs that the losses come from; empty if they are the car file's.
    `reaches` has one entry for each size that a trial can move.
    """

    car: Car
    own: Car
    track: Track
    goal: Goal
    limits: Limits
    turn_step: float
    best: BestWinding
    parts: tuple[Part, ...]
    prediction: Prediction
    own_prediction: Prediction
    mark_s: float | None
    own_mark_s: float | None
    gain: float | None
    binding: tuple[str, ...]
    miscounts: tuple[Miscount, ...]
    ranges: tuple[TurnsRange, ...]
    changes: tuple[CarChange, ...]
    most_informative: InformativeWinding | None
    findings: tuple[Finding, ...]
    learnt_from: tuple[str, ...] = ()
    reaches: tuple[Reach, ...] = ()

    @property
    def gain_m(self) -> float:
        """How much more of the distance that counts than with the winding of the car's file."""
        return self.goal.distance(self.prediction) - self.goal.distance(self.own_prediction)

    @property
    def left_out(self) -> tuple[str, ...]:
        """The tiers that are not wound."""
        return tuple(tier.name for tier in self.car.drum if tier.turns == 0.0)
