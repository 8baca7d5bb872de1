"""What one change of the car would gain: each by itself, a tenth less and a tenth more."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from unspool.car import Car
from unspool.car.other_parts import with_body, with_driven_wheels, with_drop, with_weight
from unspool.model.number import Floats
from unspool.study.plan.evaluate import PlanningTask, evaluate_cars
from unspool.study.plan.goal import Aim
from unspool.study.plan.search import Optimum, best_scores

SHARES = (0.9, 1.1)
AFFORDABLE = 1500  # windings for each changed car: there are some twenty
NOTHING = 1e-4  # m or s: no builder sees less

Changed = Callable[[Car, float], Car]


class CarProperty(StrEnum):
    """What is changed."""

    FALLING_WEIGHT = "falling_weight"
    BODY = "body"
    DROP = "drop"
    DRIVEN_WHEELS = "driven_wheels"
    ROLLING = "rolling"
    CONSTANT_DRAG = "constant_drag"
    DRAG_AREA = "drag_area"
    DRIVE_LOSS = "drive_loss"
    TIER = "tier"


@dataclass(frozen=True)
class CarChange:
    """A property of the car, with its effect on the goal if it is a tenth less and a tenth more.

    `less` and `more` are in the goal's unit, above 0 if the goal gains, None if the car then cannot
    do it. For a mark to stop at they are how far the stop moves with the winding as it is.
    Otherwise each changed car is wound as is best for it. `tier`: which one is changed.
    """

    what: CarProperty
    tier: str | None
    less: float | None
    more: float | None

    @property
    def swing(self) -> float:
        """The larger of both effects."""
        return max(abs(self.less or 0.0), abs(self.more or 0.0))


def changes(task: PlanningTask, best: Optimum) -> tuple[CarChange, ...]:
    """Every change that does anything, the one with the largest effect first."""
    every = list(_changed(task.car, best.turns))
    cars = [changed(task.car, share) for _, _, changed in every for share in SHARES]
    effects = iter(_effects(task, best, cars))
    found = [CarChange(what, tier, next(effects), next(effects)) for what, tier, _ in every]
    return tuple(sorted((c for c in found if c.swing > NOTHING), key=lambda c: -c.swing))


def _effects(task: PlanningTask, best: Optimum, cars: Sequence[Car]) -> list[float | None]:
    """What each car does to the goal; None for one whose drum does not fit into its wheel."""
    of_cars = _stop_moves if task.goal.aim is Aim.REACH else _gains
    fits = [drum_fits(car) for car in cars]
    tasks = [task, *(replace(task, car=car) for car, fit in zip(cars, fits, strict=True) if fit)]
    found = iter(of_cars(tasks, best))
    return [next(found) if fit else None for fit in fits]


def _gains(tasks: Sequence[PlanningTask], best: Optimum) -> list[float | None]:
    """On the best that each car can do; the first task is the car as it is."""
    now, *scores = best_scores(tasks, AFFORDABLE, best.turns)
    return [None if score is None or now is None else score - now for score in scores]


def _stop_moves(tasks: Sequence[PlanningTask], best: Optimum) -> list[float | None]:
    """How far each stops from where the first does, wound alike."""
    wound = np.tile(best.turns, (len(tasks), 1))
    before, *after = evaluate_cars(tasks, np.arange(len(tasks)), wound).runs.distance_m.tolist()
    return [stop - before for stop in after]


def drum_fits(car: Car) -> bool:
    """Whether the drum is smaller than the driven wheel."""
    largest = max(max(tier.radius_m, tier.end_radius_m) for tier in car.drum)
    return largest < car.driven_wheel.radius_m


def _changed(car: Car, turns: Floats) -> Iterator[tuple[CarProperty, str | None, Changed]]:
    of = CarProperty
    yield of.FALLING_WEIGHT, None, lambda c, x: with_weight(c, c.weight_mass_kg * x)
    yield of.BODY, None, lambda c, x: with_body(c, c.body_mass_kg * x)
    yield of.DROP, None, lambda c, x: with_drop(c, c.drop_m * x)
    yield of.DRIVEN_WHEELS, None, lambda c, x: with_driven_wheels(c, c.driven_wheel.radius_m * x)
    if car.losses.rolling_coefficient:
        yield of.ROLLING, None, _rolling
    if car.losses.constant_drag_n:
        yield of.CONSTANT_DRAG, None, _constant
    if car.drag_area_m2:
        area = car.frontal_area_m2 or 0.0
        yield of.DRAG_AREA, None, lambda c, x: replace(c, frontal_area_m2=area * x)
    if car.losses.drive_efficiency < 1.0:
        yield of.DRIVE_LOSS, None, _drive
    for k, tier in enumerate(car.drum):
        if turns[k] > 0.0:
            yield of.TIER, tier.name, _tier(k)


def _rolling(car: Car, share: float) -> Car:
    losses = car.losses
    return replace(
        car,
        losses=replace(
            losses,
            rolling_coefficient=losses.rolling_coefficient * share,
            break_away_coefficient=losses.break_away_coefficient * share,
        ),
    )


def _constant(car: Car, share: float) -> Car:
    drag = car.losses.constant_drag_n * share
    return replace(car, losses=replace(car.losses, constant_drag_n=drag))


def _drive(car: Car, share: float) -> Car:
    efficiency = 1.0 - (1.0 - car.losses.drive_efficiency) * share
    return replace(car, losses=replace(car.losses, drive_efficiency=max(efficiency, 0.0)))


def _tier(index: int) -> Changed:
    def changed(car: Car, share: float) -> Car:
        drum = list(car.drum)
        tier = drum[index]
        drum[index] = replace(
            tier, radius_m=tier.radius_m * share, end_radius_m=tier.end_radius_m * share
        )
        return replace(car, drum=tuple(drum))

    return changed
