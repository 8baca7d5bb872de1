"""Where variants of a car come to rest, on floors from which they may roll back."""

from __future__ import annotations

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.number import Indices
from unspool.model.tolerances import SMALLEST_SWING_M
from unspool.study.calibration.car_variants import CarVariants
from unspool.study.calibration.types import Array
from unspool.study.calibration.way_out import way_out

_MOST_SWINGS = 60  # in a dip they shrink by half or more


def resting_place(cars: CarVariants, holding_n: Array) -> Array:
    """(v,) places in m, infinite if nothing stops a car; holding_n: (v,) what holds it at rest."""
    out = way_out(cars)
    place = cars.place_m + cars.direction * out.end_m
    still = np.flatnonzero(~out.held & np.isfinite(place))
    swing = np.abs(out.end_m)
    for _ in range(_MOST_SWINGS):
        still = still[swing[still] > SMALLEST_SWING_M]
        forward, back = (_pulled_n(cars, place, still, way) for way in (1.0, -1.0))
        moves = np.maximum(forward, back) > holding_n[still]
        direction = np.where(forward > back, 1.0, -1.0)[moves]
        still = still[moves]
        if not len(still):
            break
        rolled = way_out(cars.rolling_from(still, place[still], direction)).end_m
        place[still] += direction * rolled
        swing[still] = rolled
        still = still[np.isfinite(rolled)]
    return place


def _pulled_n(cars: CarVariants, place: Array, rows: Indices, way: float) -> Array:
    """How hard the floor pulls each of these cars that way."""
    direction = np.full(len(rows), way)
    ahead, _ = cars.rolling_from(rows, place[rows], direction).floor_ahead(np.zeros(len(rows)))
    return np.asarray(-ahead * cars.total_kg[rows] * STANDARD_GRAVITY)
