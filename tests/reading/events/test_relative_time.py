"""A run reads the same whatever its file's clock counts from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, TrueRun, random_car, run

SINCE_1970 = 1.7e9


@pytest.fixture(scope="module")
def truth() -> TrueRun:
    car = random_car(np.random.default_rng([8, 3]), 3)
    return run(car, imperfections=replace(USUAL, clock_error=0.0, handled=6), seed=3)


def read(truth: TrueRun, offset_s: float) -> Reading:
    return analyse(replace(truth.train, time_s=truth.train.time_s + offset_s), truth.car)


def test_a_clock_that_counts_from_1970_changes_no_place_and_no_sd(truth: TrueRun) -> None:
    here, there = read(truth, 0.0), read(truth, SINCE_1970)
    assert [e.kind for e in there.events] == [e.kind for e in here.events]
    for one, other in zip(here.events, there.events, strict=True):
        assert other.distance_m == pytest.approx(one.distance_m, abs=2e-4)
        assert other.distance_sd_m == pytest.approx(one.distance_sd_m, rel=0.05, abs=1e-6)


def test_times_are_told_on_the_files_clock(truth: TrueRun) -> None:
    here, there = read(truth, 0.0), read(truth, SINCE_1970)
    for one, other in zip(here.events, there.events, strict=True):
        assert other.time_s - SINCE_1970 == pytest.approx(one.time_s, abs=2e-3)
    moved = there.motion
    assert moved.time_s == pytest.approx(moved.train.time_s[moved.used], abs=1e-6)
    assert moved.launch_s == pytest.approx(there.events[0].time_s, abs=1e-6)
    assert there.duration_s == pytest.approx(here.duration_s, abs=2e-3)
