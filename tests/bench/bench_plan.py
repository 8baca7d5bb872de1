"""How good planned windings are, against every winding in quarter turns and against true runs.

Cars as builders build them, 1 to 3 tiers, on a level floor. UNSPOOL_BENCH_CARS sets how many. A
figure of worst cases is a share of the best over the whole grid: 1 is as good as the grid's best.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable

import numpy as np

from bench.figures import Figure
from study.plan.brute import best, every_winding
from unspool.car import FLAT, Car
from unspool.errors import InputError
from unspool.study.plan import Aim, Goal, Limits, plan
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.search import search
from unspool.virtual import truth

CARS = int(os.environ.get("UNSPOOL_BENCH_CARS", "40"))
TRUE_RUNS = 60  # of each car's grid


def figures() -> Iterable[Figure]:
    cars = [truth.random_car(np.random.default_rng([7, i]), 1 + i % 3) for i in range(CARS)]
    yield Figure("plan_farthest_worst", min(map(_farthest, cars)), "of the grid's best",
                 "the car file's winding, worst", min(map(_own, cars)))  # fmt: skip
    fast = [ratio for ratio in map(_fastest, cars) if ratio is not None]
    yield Figure("plan_fastest_worst", min(fast), "of the grid's best", "the grid's best", 1.0)
    true = [_truly(car) for car in cars[: max(CARS // 5, 1)]]
    yield Figure("plan_true_distance_worst", min(true), "of the true best", "the true best", 1.0)
    begin = time.perf_counter()
    plan(cars[2], FLAT)
    spent = time.perf_counter() - begin
    begin = time.perf_counter()
    best(cars[2], FLAT, Goal(), Limits(), every_winding(cars[2]))
    yield Figure("plan_time", spent, "s", "every quarter turn tried once",
                 time.perf_counter() - begin)  # fmt: skip


def _planned(car: Car, goal: Goal) -> Car:
    found = search(PlanningTask(car, FLAT, goal, Limits()), 40_000)
    if found is None:
        raise InputError(f"{goal.aim}: no winding fits")
    return car.wound(tuple(found.turns.tolist()))


def _farthest(car: Car) -> float:
    task = PlanningTask(_planned(car, Goal()), FLAT, Goal(), Limits())
    turns = np.array([[tier.turns for tier in task.car.drum]])
    brute = best(car, FLAT, Goal(), Limits(), every_winding(car))
    return float(task.evaluate(turns).worth[0]) / brute


def _own(car: Car) -> float:
    own = PlanningTask(car, FLAT, Goal(), Limits()).evaluate(
        np.array([[tier.turns for tier in car.drum]])
    )
    return float(own.scores[0]) / best(car, FLAT, Goal(), Limits(), every_winding(car))


def _fastest(car: Car) -> float | None:
    """None if no winding within the limits gets there."""
    goal = Goal(Aim.FASTEST, 3.0)
    found = search(PlanningTask(car, FLAT, goal, Limits()), 40_000)
    if found is None:
        return None
    return best(car, FLAT, goal, Limits(), every_winding(car)) / -found.score


def _truly(car: Car) -> float:
    """The planned winding's true distance over the true best of windings that use the drop."""
    turns = every_winding(car)
    string = turns @ np.array([tier.string_m / tier.turns for tier in car.drum])
    full = turns[string > 0.9 * car.drop_m]
    rows = full[np.linspace(0, len(full) - 1, min(TRUE_RUNS, len(full))).astype(int)]
    others = [truth.run(car.wound(tuple(row))).rest_m for row in rows]
    return truth.run(_planned(car, Goal())).rest_m / max(others)
