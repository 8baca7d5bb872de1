"""What one change of the car would gain: each by itself, a tenth less and a tenth more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car
from unspool.model.number import Floats
from unspool.study.plan.evaluate import Task
from unspool.study.plan.goal import Aim
from unspool.study.plan.search import Found, peak

SHARES = (0.9, 1.1)
AFFORDABLE = 1500
NOTHING = 1e-4  # m or s

Changed = Callable[[Car, float], Car]
Effect = Callable[[Task, Found, Car], float | None]


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
    effect = _stop_moves if task.goal.aim is Aim.REACH else _gains(task, found)
    told = [
        Change(name, *(effect(task, found, changed(task.car, share)) for share in SHARES))
        for name, changed in _changed(task.car, found.turns)
    ]
    return tuple(sorted((c for c in told if c.swing > NOTHING), key=lambda c: -c.swing))


def _gains(task: Task, found: Found) -> Effect:
    """On the best that each car can do; where a run takes long to predict, on the planned one."""
    best = peak(task, AFFORDABLE, found.turns) if task.closed else found.score

    def gained(task: Task, found: Found, car: Car) -> float | None:
        if not _possible(car) or best is None:
            return None
        other = replace(task, car=car)
        if not task.closed:
            change = float(other.tried(found.turns[None, :]).scores[0]) - best
            return change if np.isfinite(change) else None
        score = peak(other, AFFORDABLE, found.turns)
        return None if score is None else score - best

    return gained


def _stop_moves(task: Task, found: Found, car: Car) -> float | None:
    if not _possible(car):
        return None
    wound = found.turns[None, :]
    before, after = (one.tried(wound) for one in (task, replace(task, car=car)))
    return float(after.runs.distance_m[0] - before.runs.distance_m[0])


def _possible(car: Car) -> bool:
    return max(tier.radius_m for tier in car.drum) < car.driven_wheel.radius_m


def _changed(car: Car, turns: Floats) -> Iterator[tuple[str, Changed]]:
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
        if turns[k] > 0.0:
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
