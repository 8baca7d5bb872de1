"""Predicted runs against scipy's solve_ivp at 1e-8 and against one by one, all timed here."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from statistics import median

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bench.figures import Figure
from unspool.car import Car, Track
from unspool.model.batch import predict_windings
from unspool.model.params import Params, params_of
from unspool.model.predict import predict
from unspool.model.simulate import simulate
from unspool.virtual.demo import scenario


def figures() -> Iterable[Figure]:
    car, track = scenario.sandpiper(), scenario.corridor()
    plain = params_of(car, track)
    solved, told = _solved_distance(plain), simulate(plain).x
    if abs(solved / told - 1.0) > 1e-7:
        raise AssertionError(f"the baseline disagrees: {solved} and {told} m")
    baseline = _runs_a_second(lambda: _solved_distance(plain), 30)
    yield Figure("model_run", _runs_a_second(lambda: _simulate(car, track), 2000), "runs/s",
                 "solve_ivp at 1e-8", baseline)  # fmt: skip
    yield Figure("model_prediction", _runs_a_second(lambda: predict(car, track), 100), "runs/s",
                 "solve_ivp at 1e-8", baseline)  # fmt: skip
    turns = np.random.default_rng(1).uniform(0.0, 6.0, (100_000, 3))
    many = _runs_a_second(lambda: predict_windings(scenario.dunlin(), turns, track), 1) * len(turns)
    yield Figure("model_windings", many, "runs/s", "one by one", _one_by_one(turns[:300], track))


def _one_by_one(turns: NDArray[np.float64], track: Track) -> float:
    car = scenario.dunlin()

    def every() -> None:
        for wound in turns:
            _simulate(car.wound(tuple(wound)), track)

    return _runs_a_second(every, 1) * len(turns)


def _simulate(car: Car, track: Track) -> float:
    return simulate(params_of(car, track)).x


def _runs_a_second(run: Callable[[], object], times: int) -> float:
    spent = []
    for _ in range(5):
        begin = time.perf_counter()
        for _ in range(times):
            run()
        spent.append((time.perf_counter() - begin) / times)
    return 1.0 / median(spent)


def _solved_distance(m: Params) -> float:
    """The same run, tier by tier and slope by slope, with scipy's order-8 method."""
    x = v = 0.0
    ends = sorted({tier.end_m for tier in m.tiers} | {p for p in m.level_m if p > 0.0})
    for end in [*ends, 1e3]:
        tier = next((tier for tier in m.tiers if x < tier.end_m), None)
        lever = tier.lever if tier else 0.0
        if tier and x == tier.begin_m and x > 0.0:
            before = m.tiers[m.tiers.index(tier) - 1].lever
            moved = m.moving_kg * before * lever
            v *= (m.coasting_kg + moved) / (m.coasting_kg + m.moving_kg * lever**2)
        slope = m.slope(x, 1)
        net = m.drive_n(lever) - m.rolling_n(slope) - m.grade_n(slope)
        x, v = _solved_stretch(x, v, end, net, m.drag_kg_m, m.coasting_kg + m.moving_kg * lever**2)
        if v <= 1e-9:
            break
    return x


def _solved_stretch(
    x: float, v: float, end: float, net: float, drag: float, mass: float
) -> tuple[float, float]:
    def there(_: float, y: list[float]) -> float:
        return y[0] - end

    def stands(_: float, y: list[float]) -> float:
        return y[1]

    there.terminal = stands.terminal = True
    stands.direction = -1
    answer = solve_ivp(
        lambda _, y: (y[1], (net - drag * y[1] * y[1]) / mass), (0.0, 1e4), (x, v),
        method="DOP853", events=(there, stands), rtol=1e-8, atol=1e-10,
    )  # fmt: skip
    reached, speed = (float(row[-1]) for row in answer.y)
    return (end if speed > 1e-9 else reached), speed
