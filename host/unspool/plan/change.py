"""What one change of the car would gain: each by itself, a tenth less and a tenth more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car
from unspool.plan.goal import Aim
from unspool.plan.search import Found, search
from unspool.plan.trial import Task

STEP = 0.10
AFFORDABLE = 1500

Changed = Callable[[Car, float], Car]


@dataclass(frozen=True)
class Change:
    """A property of the car with its effect on the goal when it is a tenth less and a tenth more.

    less and more are in the goal's unit, above 0 where the goal gains, None where the car then
    cannot do it. For a mark to stop at they are how far the stop moves with the winding as it is;
    otherwise each changed car is wound as is best for it.
    """

    name: str
    less: float | None
    more: float | None

    @property
    def swing(self) -> float:
        return max(abs(self.less or 0.0), abs(self.more or 0.0))


def changes(task: Task, found: Found) -> tuple[Change, ...]:
    """Every change that does anything, the one that does most first."""
    told = [
        Change(name, _effect(task, found, changed(task.car, 1.0 - STEP)),
               _effect(task, found, changed(task.car, 1.0 + STEP)))
        for name, changed in _changed(task.car)
    ]  # fmt: skip
    return tuple(sorted((c for c in told if c.swing > 0.0), key=lambda c: -c.swing))


def _effect(task: Task, found: Found, car: Car) -> float | None:
    if max(tier.radius_m for tier in car.drum) >= car.driven_wheel.radius_m:
        return None
    other = replace(task, car=car)
    if task.goal.aim is Aim.REACH or not task.closed:
        return _as_wound(task, other, found)
    best = search(other, AFFORDABLE, near=found.turns[None, :])
    return None if best is None else best.score - found.score


def _as_wound(task: Task, other: Task, found: Found) -> float | None:
    before, after = (one.tried(found.turns[None, :]) for one in (task, other))
    if task.goal.aim is Aim.REACH:
        return float(after.runs.distance_m[0] - before.runs.distance_m[0])
    change = float(after.scores[0] - before.scores[0])
    return change if np.isfinite(change) else None


def _changed(car: Car) -> Iterator[tuple[str, Changed]]:
    yield "falling weight", lambda c, x: replace(c, weight_mass_kg=c.weight_mass_kg * x)
    yield "car without the weight", lambda c, x: replace(c, body_mass_kg=c.body_mass_kg * x)
    yield "drop", lambda c, x: replace(c, drop_m=c.drop_m * x)
    yield "driven wheels", _wheels
    if car.losses.rolling_coefficient:
        yield "rolling coefficient", _rolling
    if car.losses.constant_drag_n:
        yield "constant drag", _constant
    if car.drag_area_m2:
        area = car.frontal_area_m2 or 0.0
        yield "drag area", lambda c, x: replace(c, frontal_area_m2=area * x)
    if car.losses.drive_efficiency < 1.0:
        yield "loss in the drive", _drive
    for k, tier in enumerate(car.drum):
        yield f"tier {tier.name!r}", _tier(k)


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


def _wheels(car: Car, share: float) -> Car:
    return with_driven_radius(car, car.driven_wheel.radius_m * share)


def with_driven_radius(car: Car, radius_m: float) -> Car:
    """The car on driven wheels of another radius and the same mass: their inertia goes by its
    square.
    """
    wheels = tuple(
        replace(w, radius_m=radius_m, inertia_kg_m2=w.inertia_kg_m2 * (radius_m / w.radius_m) ** 2)
        if w.driven
        else w
        for w in car.wheels
    )
    return replace(car, wheels=wheels)


def _tier(index: int) -> Changed:
    def changed(car: Car, share: float) -> Car:
        drum = list(car.drum)
        tier = drum[index]
        drum[index] = replace(
            tier, radius_m=tier.radius_m * share, end_radius_m=tier.end_radius_m * share
        )
        return replace(car, drum=tuple(drum))

    return changed
