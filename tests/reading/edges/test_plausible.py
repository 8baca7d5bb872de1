"""Times in another unit than seconds are refused by the speed that they mean."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.errors import InputError
from unspool.reading.edges.plausible import check_times
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import analyse
from unspool.virtual import truth
from unspool.virtual.demo import scenario

PITCH_M = 0.0194


def even(step_s: float, count: int = 100) -> PulseTrain:
    numbers = np.arange(count)
    return PulseTrain(numbers * step_s, np.ones(count, dtype=np.int8), numbers)


@pytest.mark.parametrize(
    ("factor", "unit"),
    [(1e3, "milliseconds"), (1e6, "microseconds"), (1 / 60, "minutes"), (1 / 3600, "hours")],
)
def test_unit_of_the_times_is_named(factor: float, unit: str) -> None:
    car = scenario.sandpiper()
    train = truth.run(car, seed=5).train
    with pytest.raises(InputError, match=f"look like {unit}"):
        analyse(replace(train, time_s=train.time_s * factor), car)


@pytest.mark.parametrize("step_s", [1e-12, 1e9])
def test_times_in_no_unit_are_refused(step_s: float) -> None:
    with pytest.raises(InputError, match="are not in seconds"):
        check_times(even(step_s), PITCH_M)


@pytest.mark.parametrize("speed_m_s", [0.01, 0.1, 1.0, 6.0, 20.0])
def test_speeds_of_cars_and_hands_are_taken(speed_m_s: float) -> None:
    check_times(even(PITCH_M / speed_m_s), PITCH_M)


def test_few_edges_are_taken_at_any_pace() -> None:
    check_times(even(100.0, count=20), PITCH_M)


def test_chatter_at_every_other_edge_is_taken() -> None:
    times = even(PITCH_M).time_s
    bounced = np.sort(np.concatenate([times, times[::2] + 40e-6, times[::2] + 80e-6]))
    numbers = np.arange(len(bounced))
    check_times(PulseTrain(bounced, np.ones(len(bounced), dtype=np.int8), numbers), PITCH_M)


@pytest.mark.parametrize("seed", range(12))
def test_squeezed_times_are_refused_or_read(seed: int) -> None:
    """A part of the edges within nanoseconds, some of them at one instant."""
    rng = np.random.default_rng(seed)
    car = scenario.sandpiper()
    train = truth.run(car, seed=5).train
    count = int(rng.integers(3, 60))
    step = np.diff(train.time_s[:count])
    first, last = np.sort(rng.integers(0, count, 2))
    step[first:last] *= 10.0 ** rng.uniform(-12.0, -6.0)
    step[rng.random(len(step)) < 0.1] = 0.0
    time_s = 8.5 + np.r_[0.0, np.cumsum(step)]
    squeezed = PulseTrain(time_s, train.direction[:count], train.number[:count])
    try:
        distance_m = analyse(squeezed, car).distance_m
    except InputError:
        return
    assert 0.0 <= distance_m < count * PITCH_M * 2.0
