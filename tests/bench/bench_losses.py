"""How honest calibrated losses are, and how well they predict a winding that was never run.

Random cars whose car files say nothing of their losses. Each makes three runs with two windings,
and then a fourth with another winding. The losses of every run differ by a scatter in rolling and
in the drive's efficiency, or not at all. UNSPOOL_BENCH_CARS sets how many cars.

At one mass, the rolling coefficient and a constant drag show only together. So the rolling
coefficient is asked for only if it can be found. That needs a third run of a car made heavier, and
a car file that states the constant drag.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from bench.figures import Figure
from study.calibration.hidden_runs import hidden
from study.calibration.loss_worlds import another_day, windings
from unspool.car import FLAT, Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import predict
from unspool.reading.events import analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate, predict_with
from unspool.study.calibration.types import TERMS
from unspool.virtual import truth
from unspool.virtual.truth import USUAL

CARS = int(os.environ.get("UNSPOOL_BENCH_CARS", "10"))
SCATTERS = {"alike": 0.0, "scattered": 0.01}
HEAVIER = 1.3  # the car's body with ballast over the body without


@dataclass(frozen=True)
class Case:
    """A car, what three runs of it showed, and where its fourth run came to rest."""

    car: Car
    told: Calibration
    wound: Car
    rest_m: float

    def share_off(self, name: str) -> float:
        """A term's value over the true one, less 1; the clock's part taken out."""
        return self.told.term(name).value / true_terms(self.car)[name] - 1.0

    def false_known(self, name: str) -> bool:
        """Whether a term is said to be known, and the truth is far outside of its interval."""
        term = self.told.term(name)
        off = abs(true_terms(self.car)[name] - 0.5 * (term.low + term.high))
        return term.known and off > term.high - term.low


def true_terms(car: Car) -> dict[str, float]:
    """The losses as the usual sensor's fast clock shows them."""
    slow, losses = 1.0 / (1.0 + USUAL.clock_error), car.losses
    rolling, constant = losses.rolling_coefficient * slow**2, losses.constant_drag_n * slow**2
    linear, drive = losses.linear_drag_n_s_per_m * slow, losses.drive_efficiency * slow**2
    return dict(zip(TERMS, (rolling, constant, linear, car.drag_area_m2, drive), strict=True))


def case(seed: int, scatter: float, heavier: float = 1.0, stated: bool = False) -> Case:
    rng = np.random.default_rng([5, seed])
    car = truth.random_car(rng)
    first, second, unseen = windings(car, rng)
    heavy = replace(car, body_mass_kg=heavier * car.body_mass_kg)
    days = [another_day(one, rng, scatter) for one in (car, car, heavy, car)]
    runs = [
        _measured(day.wound(turns), seed * 10 + i, stated)
        for i, (day, turns) in enumerate(zip(days, (first, second, first), strict=False))
    ]
    rest_m = truth.run(days[3].wound(unseen)).rest_m
    return Case(car, calibrate(runs), described(car, stated).wound(unseen), rest_m)


def described(car: Car, stated: bool) -> Car:
    """The car as its file has it: without losses, except a constant drag that is stated."""
    file = hidden(car)
    if not stated:
        return file
    assumed = tuple(name for name in file.losses.assumed if name != "constant_drag_n")
    constant = car.losses.constant_drag_n
    return replace(file, losses=replace(file.losses, constant_drag_n=constant, assumed=assumed))


def _measured(car: Car, seed: int, stated: bool) -> CalibrationRun:
    train, file = truth.run(car, imperfections=USUAL, seed=seed).train, described(car, stated)
    return CalibrationRun(analyse(train, file), file, FLAT, None, f"run {seed}")


def figures() -> Iterable[Figure]:
    for name, scatter in SCATTERS.items():
        done = [case(seed, scatter) for seed in range(CARS)]
        yield from _foretold(name, done)
        yield from _told(f"{name}_one_mass", done, TERMS[:2])
        for setting, heavier, stated in (("two_masses", HEAVIER, False), ("stated", 1.0, True)):
            told = [case(seed, scatter, heavier, stated) for seed in range(CARS)]
            yield from _rolling(f"{name}_{setting}", told)
            yield from _told(f"{name}_{setting}", told)
    yield from _speed()


def _foretold(name: str, done: list[Case]) -> Iterator[Figure]:
    foretold = [predict_with(one.told, one.wound) for one in done]
    before = [predict(one.wound).distance_m for one in done]
    rest = np.array([one.rest_m for one in done])
    off = np.abs(np.array([one.distance_m for one in foretold]) / rest - 1.0)
    uncalibrated = np.abs(np.array(before) / rest - 1.0)
    low, high = (np.array([getattr(one, f"distance_{end}_m") for one in foretold])
                 for end in ("low", "high"))  # fmt: skip
    yield Figure(f"losses_{name}_distance_off_median", _percent(np.median(off)), "%",
                 "handbook losses", _percent(np.median(uncalibrated)))  # fmt: skip
    inside = (low <= rest) & (rest <= high)
    yield Figure(f"losses_{name}_90_interval_holds", _percent(np.mean(inside)), "%")
    half = np.median((high - low) / 2.0 / rest)
    yield Figure(f"losses_{name}_90_interval_half", _percent(half), "%")


def _rolling(name: str, done: list[Case]) -> Iterator[Figure]:
    off = np.abs([one.share_off("rolling_coefficient") for one in done])
    yield Figure(f"losses_{name}_rolling_off_median", _percent(np.median(off)), "%")
    yield Figure(f"losses_{name}_rolling_off_90th_percentile", _percent(np.quantile(off, 0.9)), "%")


def _told(name: str, done: list[Case], untold: tuple[str, ...] = ()) -> Iterator[Figure]:
    """How often each term is claimed, and how often falsely; of an untold one any claim is."""
    for term in TERMS:
        claims = np.array([one.told.term(term).known for one in done])
        wrong = claims if term in untold else np.array([one.false_known(term) for one in done])
        yield Figure(f"losses_{name}_{term}_said_to_be_known", _percent(np.mean(claims)), "%")
        yield Figure(f"losses_{name}_{term}_falsely", _percent(np.mean(wrong)), "%")


def _percent(share: np.floating) -> float:
    return 100.0 * float(share)


def _speed() -> Iterator[Figure]:
    """Ten runs: the pool of them all against a solver's fit of each by itself."""
    rng = np.random.default_rng(3)
    car = truth.random_car(rng, tiers=2)
    runs = [truth.run(another_day(car, rng, 0.01), imperfections=USUAL, seed=i) for i in range(10)]
    file = hidden(car)
    given = [CalibrationRun(analyse(run.train, file), file, name=str(run.seed)) for run in runs]
    calibrate(given[:1])
    begin = time.process_time()
    calibrate(given)
    spent = time.process_time() - begin
    begin = time.process_time()
    for run in runs:
        _solved(run)
    yield Figure("losses_ten_runs", spent, "s", "least_squares over solve_ivp",
                 time.process_time() - begin)  # fmt: skip


def _solved(run: truth.TrueRun) -> np.ndarray:
    """Rolling, drag area, efficiency and launch of one run, its slots taken to be even."""
    place = run.edge_distance_m

    def miss(p: np.ndarray) -> np.ndarray:
        losses = replace(run.car.losses, rolling_coefficient=p[0], drive_efficiency=p[2],
                         break_away_coefficient=p[0], constant_drag_n=0.0)  # fmt: skip
        tried = replace(run.car, losses=losses, frontal_area_m2=p[1], drag_coefficient=1.0)
        way = truth.run(tried)
        since = run.train.time_s - run.launch_s - p[3]
        return (place - np.interp(since, way.time_s, way.distance_m)) / run.car.metres_per_edge

    weight = run.car.total_mass_kg * STANDARD_GRAVITY
    start = np.array([0.012 + 0.005 / weight, 0.015, 0.9, 0.0])
    bounds = ([1e-4, 0.0, 0.3, -1.0], [0.1, 0.1, 1.0, 1.0])
    return least_squares(miss, start, bounds=bounds, x_scale=[0.01, 0.01, 1.0, 0.1]).x
