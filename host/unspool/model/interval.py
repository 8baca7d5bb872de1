"""The 90 % interval of a predicted distance, from the uncertainty of the losses alone.

Each loss is moved to the ends of its own 90 % interval, one at a time. The changes of distance add
up in squares, as independent errors do, separately up and down. A value in the car file is a
builder's estimate. A value that the file leaves out is a handbook's, and less certain.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace
from math import isfinite, sqrt

from unspool.car import Car, Losses, Track
from unspool.model.params import params_of
from unspool.model.simulate import simulate

# 90 % intervals, (given, left to the handbook): our own judgement, from what builders measure and
# what handbooks spread over. As factors:
_FACTOR = {"rolling_coefficient": (1.2, 2.0), "break_away_coefficient": (1.2, 2.0)}
# As additions, in the unit of the loss:
_STEP = {
    "drive_efficiency": (0.03, 0.08),
    "constant_drag_n": (0.005, 0.02),
    "linear_drag_n_s_per_m": (0.001, 0.005),
}
_DRAG_AREA_FACTOR = 1.25
# A small car's frontal area times a bluff body's coefficient, if the file gives neither.
_USUAL_DRAG_AREA_M2 = 0.015
# The least resistance of a car in the interval: one without any never stops.
_STOPS_N = 1e-4


def distance_interval(car: Car, track: Track, distance_m: float) -> tuple[float, float]:
    """Lower and upper end of the 90 % interval of the distance to standstill, in m.

    Both are infinite if nothing stops the car.
    """
    if not isfinite(distance_m):
        return distance_m, distance_m
    down = up = 0.0
    for pair in _variants(car):
        changes = [_distance(variant, track) - distance_m for variant in pair]
        down += min(*changes, 0.0) ** 2
        up += max(*changes, 0.0) ** 2
    return distance_m - sqrt(down), distance_m + sqrt(up)


def _distance(car: Car, track: Track) -> float:
    return simulate(params_of(car, track)).rest_m


def _variants(car: Car) -> Iterator[tuple[Car, Car]]:
    losses = car.losses
    for name, factors in _FACTOR.items():
        value, factor = getattr(losses, name), factors[name in losses.assumed]
        yield _with(car, name, value / factor), _with(car, name, value * factor)
    for name, steps in _STEP.items():
        value, step = getattr(losses, name), steps[name in losses.assumed]
        if value or name == "constant_drag_n":
            yield _with(car, name, max(value - step, 0.0)), _with(car, name, value + step)
    yield _drag_areas(car)


def _with(car: Car, name: str, value: float) -> Car:
    """The car with another loss, kept possible: an efficiency up to 1, and a car that stops."""
    value = min(value, 1.0) if name == "drive_efficiency" else value
    losses = Losses(**{**asdict(car.losses), name: value})
    if losses.rolling_coefficient == 0.0 and losses.constant_drag_n < _STOPS_N:
        losses = replace(losses, constant_drag_n=_STOPS_N)
    return replace(car, losses=losses)


def _drag_areas(car: Car) -> tuple[Car, Car]:
    if car.frontal_area_m2 is None:
        return car, replace(car, frontal_area_m2=_USUAL_DRAG_AREA_M2, drag_coefficient=1.0)
    low, high = car.frontal_area_m2 / _DRAG_AREA_FACTOR, car.frontal_area_m2 * _DRAG_AREA_FACTOR
    return replace(car, frontal_area_m2=low), replace(car, frontal_area_m2=high)
