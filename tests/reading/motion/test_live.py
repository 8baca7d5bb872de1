"""Live motion: near the truth edge by edge, and the same however the edges arrive."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.reading.motion import LiveMotion
from unspool.virtual.truth import USUAL, TrueRun, random_car, run


def true_run(seed: int) -> TrueRun:
    car = random_car(np.random.default_rng([6, seed]))
    return run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)


@pytest.mark.parametrize("seed", range(5))
def test_speed_after_the_first_turns_and_distance(seed: int) -> None:
    truth = true_run(seed)
    train = truth.train
    points = LiveMotion(truth.car).push(train.time_s, train.direction, train.number)
    speed = np.interp(train.time_s - truth.launch_s, truth.time_s, truth.speed_m_s)
    learned = slice(2 * truth.car.encoder.pulses_per_turn, None)
    wrong = (points.speed_m_s - speed)[learned]
    assert np.sqrt(np.mean(wrong**2)) < 0.02 * speed.max()
    # The first edge is its zero: the launch lies up to a slot before it.
    assert points.distance_m[-1] == pytest.approx(
        truth.edge_distance_m[-1], abs=2.0 * truth.car.metres_per_edge
    )


def test_batches_of_any_size_give_the_same_points() -> None:
    truth = true_run(0)
    train = truth.train
    whole = LiveMotion(truth.car).push(train.time_s, train.direction, train.number)
    live = LiveMotion(truth.car)
    for first in range(0, len(train), 7):
        part = slice(first, first + 7)
        points = live.push(train.time_s[part], train.direction[part], train.number[part])
        assert points.distance_m == pytest.approx(whole.distance_m[part])
        assert points.speed_m_s == pytest.approx(whole.speed_m_s[part])
    empty = live.push(np.empty(0), np.empty(0, np.int8), np.empty(0, np.int64))
    assert len(empty.distance_m) == 0


def test_numbered_gaps_count_as_distance() -> None:
    truth = true_run(1)
    kept = np.ones(len(truth.train), dtype=bool)
    kept[80:110] = False
    train = truth.train
    points = LiveMotion(truth.car).push(
        train.time_s[kept], train.direction[kept], train.number[kept]
    )
    whole = LiveMotion(truth.car).push(train.time_s, train.direction, train.number)
    assert points.distance_m[-1] == pytest.approx(whole.distance_m[-1], abs=1e-3)


def test_handling_before_a_pause_is_forgotten() -> None:
    truth = true_run(2)
    train = truth.train
    time_s = np.r_[train.time_s[0] - np.array([5.0, 4.8, 4.5]), train.time_s]
    n = len(time_s)
    points = LiveMotion(truth.car).push(time_s, np.ones(n, np.int8), np.arange(n))
    assert points.distance_m[3] == 0.0


def test_rolling_back_takes_distance_off() -> None:
    live = LiveMotion(random_car(np.random.default_rng(0)))
    time_s = np.arange(12) * 0.1
    direction = np.r_[np.ones(8), -np.ones(4)].astype(np.int8)
    points = live.push(time_s, direction, np.arange(12))
    assert points.distance_m[-1] < points.distance_m[7]
    assert points.speed_m_s[-1] < 0.0
