"""What a plan holds."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.car import Car, Track
from unspool.model.outcome import Prediction
from unspool.study.plan.flatness import Range, Slip
from unspool.study.plan.goal import Goal
from unspool.study.plan.limits import Limits
from unspool.study.plan.most_informative import Lesson
from unspool.study.plan.sensitivity import Change


@dataclass(frozen=True)
class Plan:
    """The winding to try next.

    car is wound as planned, with the parts named in `parts` where others than its own do better;
    own is the car as its file says. mark_s is when each passes the goal's mark, None where there is
    none or it is not reached. gain is what the plan betters own by in the goal's unit, None where
    own does not do it at all. left_out names the tiers that are not wound; learnt the runs that
    told the losses, none where they are the car file's.
    """

    car: Car
    own: Car
    track: Track
    goal: Goal
    limits: Limits
    parts: tuple[str, ...]
    prediction: Prediction
    own_prediction: Prediction
    mark_s: float | None
    own_mark_s: float | None
    gain: float | None
    binding: tuple[str, ...]
    slips: tuple[Slip, ...]
    ranges: tuple[Range, ...]
    changes: tuple[Change, ...]
    lesson: Lesson | None
    cautions: tuple[str, ...]
    learnt: tuple[str, ...] = ()

    @property
    def gain_m(self) -> float:
        """Distance past where the car stops as its file winds it."""
        return self.prediction.distance_m - self.own_prediction.distance_m

    @property
    def left_out(self) -> tuple[str, ...]:
        return tuple(tier.name for tier in self.car.drum if tier.turns == 0.0)
