"""The winding card: what one needs at the trackside to wind a car and to check its run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import inf, isfinite

from unspool.car import FLAT, Car, Track
from unspool.errors import InputError
from unspool.language import _
from unspool.model import predict, split_times
from unspool.model.outcome import Prediction
from unspool.study.calibration import Calibration, predict_with
from unspool.study.plan.goal import Goal
from unspool.study.plan.types import Plan

# Distances between split times: the shortest is taken that needs no more than MOST_SPLITS of them,
# which is what fits on a sheet.
SPLITS_EVERY_M = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
MOST_SPLITS = 16


@dataclass(frozen=True)
class TierWinding:
    """A tier to wind. `mark_m`: from the drum's end of the string to where the tier is full."""

    tier: str
    turns: float
    string_m: float
    mark_m: float


@dataclass(frozen=True)
class SplitTime:
    """When the car passes a place, from the launch."""

    distance_m: float
    time_s: float


@dataclass(frozen=True)
class WindingCard:
    """`windings` are in the order of winding: the tier that the string leaves last is first.

    `splits` are the times at every 5 m, or at longer steps of a long run. `learnt_from` names the
    runs that the losses come from; empty if they are the car file's. `goal`: what it was planned
    for, None if nobody planned it. `day`: when the card was made, None if it does not matter.
    """

    car: Car
    track: Track
    windings: tuple[TierWinding, ...]
    prediction: Prediction
    splits: tuple[SplitTime, ...]
    learnt_from: tuple[str, ...] = ()
    goal: Goal | None = None
    day: date | None = None

    @property
    def string_m(self) -> float:
        return self.windings[-1].mark_m

    @property
    def turns(self) -> float:
        return sum(one.turns for one in self.windings)

    @property
    def spare_m(self) -> float:
        """The drop less the string wound; below 0 the weight lands before the drum is empty."""
        return self.car.drop_m - self.string_m


def winding_card(
    car: Car,
    track: Track = FLAT,
    turns: tuple[float, ...] | None = None,
    calibration: Calibration | None = None,
    day: date | None = None,
) -> WindingCard:
    """The card of this car, wound as its drum says or with other turns, one number a tier.

    day: when it is made.

    With a calibration it runs with the calibrated losses, and the interval is that of one more run.
    Raises InputError for turns that are no winding of this drum.
    """
    wound = _wound(car, turns)
    if calibration is None:
        return replace(_card(wound, track, predict(wound, track), ()), day=day)
    prediction = predict_with(calibration, wound, track)
    made = _card(calibration.calibrated(wound), track, prediction, calibration.learnt_from)
    return replace(made, day=day)


def card_of_plan(plan: Plan, day: date | None = None) -> WindingCard:
    """The card of a plan's winding, with what the plan predicts of it. day: when it is made."""
    made = _card(_wound(plan.car, None), plan.track, plan.prediction, plan.learnt_from)
    return replace(made, goal=plan.goal, day=day)


def _card(
    wound: Car, track: Track, prediction: Prediction, learnt_from: tuple[str, ...]
) -> WindingCard:
    return WindingCard(
        car=wound,
        track=track,
        windings=_windings(wound),
        prediction=prediction,
        splits=_splits(wound, track, prediction),
        learnt_from=learnt_from,
    )


def _wound(car: Car, turns: tuple[float, ...] | None) -> Car:
    """The car with only the tiers that are wound."""
    if turns is not None:
        if len(turns) != len(car.drum):
            names = ", ".join(tier.name for tier in car.drum)
            raise InputError(
                _(
                    "{car}: {count} turns for the tiers {tiers}; give one each",
                    car=car.name,
                    count=len(turns),
                    tiers=names,
                )
            )
        if not all(isfinite(n) and n >= 0.0 for n in turns) or not any(turns):
            raise InputError(
                _("{car}: these turns are no winding; give 0 or more, not all 0", car=car.name)
            )
        car = car.wound(turns)
    return replace(car, drum=tuple(tier for tier in car.drum if tier.turns > 0.0))


def _windings(car: Car) -> tuple[TierWinding, ...]:
    windings: list[TierWinding] = []
    mark = 0.0
    for tier in reversed(car.drum):
        mark += tier.string_m
        windings.append(TierWinding(tier.name, tier.turns, tier.string_m, mark))
    return tuple(windings)


def _splits(car: Car, track: Track, prediction: Prediction) -> tuple[SplitTime, ...]:
    furthest = prediction.furthest_m if prediction.starts else 0.0
    every = next((x for x in SPLITS_EVERY_M if furthest <= MOST_SPLITS * x), SPLITS_EVERY_M[-1])
    if furthest == inf:
        every = SPLITS_EVERY_M[0]
    marks = [every * (i + 1) for i in range(MOST_SPLITS) if every * (i + 1) <= furthest]
    times = split_times(car, track, marks)
    return tuple(SplitTime(x, t) for x, t in zip(marks, times, strict=True) if t is not None)
