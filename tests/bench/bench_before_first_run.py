"""How often the 90 % interval before any run holds a made-up population of builders' cars.

UNSPOOL_BENCH_BUILDERS sets how many of each kind. The true distances are the truth generator's.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable

import numpy as np

from bench.figures import Figure
from model.builders_cars import craft, racer, silent
from unspool.car import FLAT, Car
from unspool.model import predict
from unspool.virtual import truth

CARS = int(os.environ.get("UNSPOOL_BENCH_BUILDERS", "60"))


def figures() -> Iterable[Figure]:
    for draw in (racer, craft):
        rng = np.random.default_rng(5)
        pairs = [draw(rng) for _ in range(CARS)]
        cars = [(truth.run(true, FLAT).rest_m, said) for true, said in pairs]
        for name, as_said in (("silent", silent), ("said", _whole)):
            yield Figure(f"before_first_run_{draw.__name__}_{name}", _inside(cars, as_said),
                         "of cars inside", "as stated", 0.9)  # fmt: skip


def _whole(car: Car) -> Car:
    return car


def _inside(cars: list[tuple[float, Car]], as_said: Callable[[Car], Car]) -> float:
    told = [(distance, predict(as_said(car))) for distance, car in cars]
    return float(np.mean([p.distance_low_m <= x <= p.distance_high_m for x, p in told]))
