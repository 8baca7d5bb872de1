"""The 90 % interval of a predicted distance that the losses' uncertainty alone allows.

Each loss is moved to the ends of its own 90 % band, one at a time; the changes of distance add up
in squares, up and down apart. A value that the file gives is a builder's estimate, one that it
leaves out a handbook's, with a band several times as wide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace
from math import isfinite, sqrt

from unspool.car import Car, Losses, Track
from unspool.model.params import machine
from unspool.model.simulate import ride

# 90 % bands as factors: (given, left to the handbook).
_FACTOR = {"rolling_coefficient": (1.2, 2.0), "break_away_coefficient": (1.2, 2.0)}
# 90 % bands as additions, in the unit of the loss.
_STEP = {
    "drive_efficiency": (0.03, 0.08),
    "constant_drag_n": (0.005, 0.02),
    "linear_drag_n_s_per_m": (0.001, 0.005),
}
_DRAG_AREA_FACTOR = 1.25
# A small car's frontal area times a bluff body's coefficient, where the file gives neither.
_USUAL_DRAG_AREA_M2 = 0.015
_STOPS_N = 1e-4


def distance_band(car: Car, track: Track, distance_m: float) -> tuple[float, float]:
    """Lower and upper end of the 90 % interval of the distance to standstill, in m.

    Both are infinite when nothing stops the car.
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
    return ride(machine(car, track)).rest_m


def _variants(car: Car) -> Iterator[tuple[Car, Car]]:
    losses = car.losses
    for name, bands in _FACTOR.items():
        value, factor = getattr(losses, name), bands[name in losses.assumed]
        yield _with(car, name, value / factor), _with(car, name, value * factor)
    for name, bands in _STEP.items():
        value, step = getattr(losses, name), bands[name in losses.assumed]
        if value or name == "constant_drag_n":
            yield _with(car, name, max(value - step, 0.0)), _with(car, name, value + step)
    yield _drag_areas(car)


def _with(car: Car, name: str, value: float) -> Car:
    """The car with another loss, kept possible: efficient up to 1, and one that stops."""
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
