"""How honest calibrated losses are in worlds in which cars are not as their files say.

Each world has cars of which three runs are known and a fourth is predicted (see loss_worlds.py of
the tests), and floors that `--slope` has to find (floor_worlds.py). UNSPOOL_BENCH_CARS sets how
many cars each, and floors half as many.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

import numpy as np

from bench.figures import Figure
from study.calibration.floor_worlds import floor_case
from study.calibration.loss_worlds import WORLDS, Case, case
from unspool.study.calibration import predict_with
from unspool.study.calibration.types import TERMS

CARS = int(os.environ.get("UNSPOOL_BENCH_CARS", "10"))
FLOOR_CARS = max(CARS // 2, 1)  # a floor takes ten times as long
FLOORS = {"level": (False, False), "bump": (True, False), "bump_both_ways": (True, True)}


def figures() -> Iterable[Figure]:
    for name in WORLDS:
        done = [case(name, seed) for seed in range(CARS)]
        yield from _terms(f"worlds_{name}", done)
        yield from _next_run(f"worlds_{name}", done)
    for name, (uneven, both) in FLOORS.items():
        floors = [floor_case(uneven, both, seed) for seed in range(FLOOR_CARS)]
        yield from _terms(f"worlds_floor_{name}", [one.losses for one in floors])
        shown = np.mean([one.floor.shown for one in floors])
        yield Figure(f"worlds_floor_{name}_shown", 100.0 * float(shown), "%")
        held = np.mean([one.holds() for one in floors])
        yield Figure(f"worlds_floor_{name}_heights_held", 100.0 * float(held), "%")


def _terms(name: str, done: list[Case]) -> Iterator[Figure]:
    for term in TERMS:
        held = 100.0 * float(np.mean([one.holds(term) for one in done]))
        yield Figure(f"{name}_{term}_90_interval_holds", held, "%")
        false = 100.0 * float(np.mean([one.falsely_known(term) for one in done]))
        yield Figure(f"{name}_{term}_falsely_known", false, "%")


def _next_run(name: str, done: list[Case]) -> Iterator[Figure]:
    found = [predict_with(one.told, one.wound) for one in done]
    off = [abs(p.distance_m / one.rest_m - 1.0) for p, one in zip(found, done, strict=True)]
    yield Figure(f"{name}_next_run_off_median", 100.0 * float(np.median(off)), "%")
    inside = [
        p.distance_low_m <= one.rest_m <= p.distance_high_m
        for p, one in zip(found, done, strict=True)
    ]
    yield Figure(f"{name}_next_run_90_interval_holds", 100.0 * float(np.mean(inside)), "%")
