"""Where a run will stop, said while it rolls: right for generated runs, and surer and surer."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest

from unspool.model import predict
from unspool.model.forecast import forecast_stop
from unspool.reading.motion import LiveMotion
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import DEMO_IMPERFECTIONS, real_car
from unspool.virtual.truth import run

CAR, TRACK = sandpiper(), corridor()
PREDICTION = predict(CAR, TRACK)
SHARES = (0.15, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97)


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_the_band_narrows_around_the_true_stop(seed: int) -> None:
    """The corridor rises at its end, and this car rolls some 7 % worse than its file says."""
    truth = run(real_car(CAR, seed), TRACK, DEMO_IMPERFECTIONS, seed=seed)
    train, stop_m = truth.train, float(truth.distance_m[-1])
    points = LiveMotion(CAR).push(train.time_s, train.direction, train.number)
    widths = []
    for share in SHARES:
        count = int(np.searchsorted(points.distance_m, share * stop_m))
        seen = points.distance_m[:count], points.speed_m_s[:count]
        forecast = forecast_stop(CAR, TRACK, PREDICTION, *seen)
        assert forecast is not None
        assert forecast.low_m <= stop_m <= forecast.high_m
        assert forecast.low_m >= seen[0][-1]
        widths.append(forecast.high_m - forecast.low_m)
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.1 < 3.0 < widths[0]


def test_before_the_coast_it_is_the_predictions_interval() -> None:
    none = np.empty(0)
    forecast = forecast_stop(CAR, TRACK, PREDICTION, none, none)
    assert forecast is not None
    assert (forecast.low_m, forecast.high_m) == (
        PREDICTION.distance_low_m,
        PREDICTION.distance_high_m,
    )


def test_a_car_that_has_passed_the_interval_is_never_said_to_stop_behind_itself() -> None:
    x = np.linspace(0.0, PREDICTION.distance_high_m + 2.0, 900)
    forecast = forecast_stop(CAR, TRACK, PREDICTION, x, np.full_like(x, 2.0))
    assert forecast is not None
    assert x[-1] <= forecast.low_m <= forecast.high_m


def test_nothing_is_said_of_a_car_that_nothing_stops() -> None:
    endless = replace(PREDICTION, distance_high_m=inf)
    assert forecast_stop(CAR, TRACK, endless, np.array([1.0]), np.array([1.0])) is None


def test_on_the_expected_curve_it_stops_as_expected() -> None:
    """On the expected curve itself the resistance is the described one."""
    curve = PREDICTION.curve
    before = curve.distance_m < 0.8 * PREDICTION.distance_m
    grid = np.linspace(0.0, float(curve.distance_m[before][-1]), 800)
    speed = np.sqrt(np.interp(grid, curve.distance_m, np.square(curve.speed_m_s)))
    forecast = forecast_stop(CAR, TRACK, PREDICTION, grid, speed)
    assert forecast is not None
    assert forecast.low_m < PREDICTION.distance_m < forecast.high_m
