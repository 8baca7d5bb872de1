"""Coasts of recorded runs, against runs of the truth generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import hidden, measured, turns, varied
from unspool.car import FLAT, Car
from unspool.notebook import coasts_of
from unspool.reading.events import analyse
from unspool.study.calibration import CalibrationRun, calibrate
from unspool.study.calibration.coasts import Coast
from unspool.study.calibration.run_coasts import evened, growing_drag
from unspool.virtual import truth
from unspool.virtual.truth import USUAL

SHARES = (0.35, 0.6, 1.0)


def some_car(drag_area_m2: float, linear: float) -> Car:
    car = truth.random_car(np.random.default_rng(5))
    losses = replace(car.losses, linear_drag_n_s_per_m=linear)
    return replace(car, losses=losses, frontal_area_m2=drag_area_m2, drag_coefficient=1.0)


def runs(car: Car, seed: int = 0) -> list[CalibrationRun]:
    """Three repeats of three windings, the rolling of each a little different."""
    rng = np.random.default_rng(seed)
    told = []
    for share in SHARES:
        for repeat in range(3):
            wound = turns(varied(car, 0.005, rng), share)
            told.append(measured(wound, f"{share} {repeat}", 10 * seed + repeat))
    return told


def coasts(given: list[CalibrationRun]) -> list[Coast]:
    return coasts_of([run.reading for run in given])


def test_a_coast_is_the_true_one() -> None:
    car = some_car(0.02, 0.0)
    true = truth.run(car, FLAT, USUAL, 3)
    reading = analyse(true.train, hidden(car))
    (coast,) = coasts_of([reading])
    landing = next(e.distance_m for e in reading.events if e.kind.value == "landing")
    assert coast.distance_m == pytest.approx(0.9 * (true.distance_m[-1] - landing), rel=0.003)
    speed = np.interp(true.distance_m[-1] - coast.distance_m, true.distance_m, true.speed_m_s)
    assert coast.speed_m_s == pytest.approx(speed, rel=0.003)


def test_repeats_are_put_to_one_speed() -> None:
    even = evened([Coast(1.02, 4.0), Coast(2.0, 9.0), Coast(1.0, 4.0)])
    assert [one.speed_m_s for one in even] == pytest.approx([1.01, 1.01, 2.0])
    assert even[0].distance_m == pytest.approx(4.0 * 1.0201)
    assert even[2] == Coast(2.0, 9.0)


def test_drag_that_grows_with_speed_is_found_by_calibration() -> None:
    told = calibrate(runs(some_car(0.02, 0.05)))
    (grows,) = (finding for finding in told.findings if finding.code == "drag_grows")
    assert 0.0 <= grows.values["chance"] < 0.01


def test_constant_resistance_is_seldom_called_anything_else() -> None:
    seen = [coasts(runs(some_car(1e-9, 0.0), seed)) for seed in range(2)]
    assert [len(one) for one in seen] == [9, 9]
    assert [growing_drag(one) for one in seen] == [(), ()]


def test_too_few_coasts_say_nothing() -> None:
    assert growing_drag([]) == ()
    assert growing_drag([Coast(1.0, 4.0), Coast(1.0, 5.0)]) == ()
    assert growing_drag([Coast(1.0, 4.0), Coast(2.0, 9.0)]) == ()
