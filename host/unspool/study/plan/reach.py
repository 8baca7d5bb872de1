"""The reach of each size of a planned car: what its other values do while all else stays.

A person who moves one slider asks exactly that. So the winding is not sought again for each value.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor, pi

import numpy as np

from unspool.car import Car
from unspool.model.batch import predict_cars
from unspool.model.number import Flags, Floats
from unspool.study.plan.evaluate import FITS, PlanningTask
from unspool.study.plan.limits import DROP, DRUM, START
from unspool.study.plan.sensitivity import drum_fits
from unspool.study.plan.trial import Trial, tried

LEAST, MOST = 0.5, 1.75  # shares of the present size
WEIGHT_STEP_KG, WHEEL_STEP_M, TIER_STEP_M, TURN_STEP = 0.005, 0.001, 0.0005, 0.25


class Size(StrEnum):
    """What is moved."""

    WEIGHT = "weight"
    DRIVEN_WHEELS = "driven_wheels"
    TIER = "tier"
    TURNS = "turns"


@dataclass(frozen=True)
class Span:
    """The values of a size that are tried: from low to high in steps; value: as planned.

    kg of a weight, m of the diameter of wheels and of a tier without its string, or turns.
    """

    what: Size
    tier: str | None
    value: float
    low: float
    high: float
    step: float

    @property
    def values(self) -> Floats:
        """Every value that is tried, and the planned one."""
        count = round((self.high - self.low) / self.step) + 1
        steps = self.low + self.step * np.arange(count)
        apart = np.abs(steps - self.value) > 1e-6 * self.step
        return np.sort(np.append(steps[apart], self.value))

    def trial(self, value: float, string_m: float) -> Trial:
        """The car with this value. string_m: the string's diameter."""
        if self.what is Size.WEIGHT:
            return Trial(weight_kg=value)
        if self.what is Size.DRIVEN_WHEELS:
            return Trial(wheel_m=0.5 * value)
        name = self.tier or ""
        if self.what is Size.TIER:
            return Trial(tiers_m={name: 0.5 * (value + string_m)})
        return Trial(turns={name: value})


@dataclass(frozen=True)
class Reach:
    """The best value, and those about it that keep the limits and lose the goal less than 1 %.

    best, low, high are None if no value keeps them. below, above: the limit that forbids the next
    value past low or high. None if the goal suffers there, or if no more values are tried.
    """

    span: Span
    best: float | None
    low: float | None
    high: float | None
    below: str | None = None
    above: str | None = None


def spans(car: Car) -> Iterator[Span]:
    """The sizes of a wound car that can be moved; the planned value is one of the steps."""
    yield _sized(Size.WEIGHT, None, car.weight_mass_kg, WEIGHT_STEP_KG)
    yield _sized(Size.DRIVEN_WHEELS, None, 2.0 * car.driven_wheel.radius_m, WHEEL_STEP_M)
    for tier in car.drum:
        if not tier.tapered:
            across = 2.0 * tier.radius_m - car.string_diameter_m
            yield _sized(Size.TIER, tier.name, across, TIER_STEP_M)
    for tier in reversed(car.drum):
        most = ceil(car.drop_m / (pi * (tier.radius_m + tier.end_radius_m)) / TURN_STEP) * TURN_STEP
        yield Span(Size.TURNS, tier.name, tier.turns, 0.0, max(most, tier.turns), TURN_STEP)


def _sized(what: Size, tier: str | None, value: float, step: float) -> Span:
    below, above = floor((1.0 - LEAST) * value / step), ceil((MOST - 1.0) * value / step)
    return Span(what, tier, value, value - below * step, value + above * step, step)


def reaches(task: PlanningTask, wound: Car) -> tuple[Reach, ...]:
    """One for each of `spans`, all in one batch. wound: the car as it is planned."""
    every = list(spans(wound))
    values = [span.values for span in every]
    cars = [
        tried(wound, span.trial(value, wound.string_diameter_m))
        for span, some in zip(every, values, strict=True)
        for value in some.tolist()
    ]
    worth, forbidden = _judged(task, cars)
    ends = np.cumsum([len(some) for some in values])[:-1]
    rows = zip(every, values, np.split(worth, ends), np.split(forbidden, ends), strict=True)
    return tuple(_reach(task, *row) for row in rows)


def _judged(task: PlanningTask, cars: Sequence[Car]) -> tuple[Floats, np.ndarray]:
    """(n,) each: the score, minus infinity if it is not allowed, and the limit that forbids it."""
    runs = predict_cars(cars, task.track, task.goal.mark_m)
    broken: dict[str, Flags] = {
        DRUM: np.array([not drum_fits(car) for car in cars]),
        DROP: np.array([_string_m(car) > car.drop_m * FITS for car in cars]),
        START: ~runs.starts,
    }
    names = np.full(len(cars), "", dtype=object)
    for name, flags in (*broken.items(), *task.limits.broken(runs).items()):
        names[(names == "") & flags] = name
    return np.where(names == "", task.goal.scores(runs), -np.inf), names


def _string_m(car: Car) -> float:
    return sum(tier.string_m for tier in car.drum)


def _reach(task: PlanningTask, span: Span, values: Floats, worth: Floats, why: np.ndarray) -> Reach:
    if not np.any(np.isfinite(worth)):
        return Reach(span, None, None, None)
    best = int(np.argmax(worth))
    near = worth >= task.goal.nearly(float(worth[best]))
    low, high = best, best
    while low > 0 and near[low - 1]:
        low -= 1
    while high < len(values) - 1 and near[high + 1]:
        high += 1
    below = str(why[low - 1]) if low > 0 else ""
    above = str(why[high + 1]) if high < len(values) - 1 else ""
    at, first, last = (float(values[i]) for i in (best, low, high))
    return Reach(span, at, first, last, below or None, above or None)
