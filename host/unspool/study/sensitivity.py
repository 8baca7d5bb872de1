"""How much each measure of a car matters: what one step of it does to the predicted distance.

The car is predicted with the measure half a step larger and half a step smaller, all else equal. A
step is one that a builder makes or errs by, such as 1 mm or 10 g.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.car.load import car_of_table
from unspool.car.toml_source import Table, parse_toml
from unspool.errors import InputError
from unspool.model import predict_cars


def distance_changes(
    text: str, steps: Mapping[str, float], track: Track = FLAT
) -> dict[str, float]:
    """Metres of distance for one step more, by path (`drum.1.turns`); steps in the file's units.

    Left out: a path whose value is not a number, or at whose side no car can be. Empty if the text
    is no car, or nothing stops the car. Raises nothing.
    """
    try:
        raw = parse_toml(text, "the car")
        base = car_of_table(raw, "the car")
    except InputError:
        return {}
    pairs = dict(_pairs(raw, steps))
    cars = [base, *(car for pair in pairs.values() for car in pair)]
    distances = predict_cars(cars, track).distance_m
    if not np.isfinite(distances[0]):
        return {}
    changes = distances[2::2] - distances[1::2]
    return {path: float(m) for path, m in zip(pairs, changes, strict=True) if np.isfinite(m)}


def _pairs(raw: Table, steps: Mapping[str, float]) -> Iterator[tuple[str, tuple[Car, Car]]]:
    """Each path with the car half a step below and half a step above."""
    for path, step in steps.items():
        try:
            below, above = (_moved(raw, path, half * step) for half in (-0.5, 0.5))
        except (InputError, KeyError, IndexError, TypeError):
            continue
        yield path, (below, above)


def _moved(raw: Table, path: str, more: float) -> Car:
    changed = copy.deepcopy(raw)
    *inner, key = path.split(".")
    table: Any = changed
    for step in inner:
        table = table[int(step) if step.isdigit() else step]
    value = table[key]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError
    table[key] = value + more
    return car_of_table(changed, "the car")
