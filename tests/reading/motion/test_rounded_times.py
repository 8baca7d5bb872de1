"""Times rounded to about what a slot takes: each missed edge is found, and none is invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.reading.motion import follow
from unspool.reading.motion.rounded_times import unmissed
from unspool.reading.motion.second_look import second_look
from unspool.virtual.truth import USUAL, TrueRun, random_car, run


def rounded(seed: int, missed: float, tick_s: float) -> TrueRun:
    car = random_car(np.random.default_rng([seed, 11]))
    truth = run(car, imperfections=replace(USUAL, missed=missed, clock_error=0.0), seed=seed)
    time_s = np.round(truth.train.time_s / tick_s) * tick_s
    return replace(truth, train=replace(truth.train, time_s=time_s))


# With 9.4 to 20.3 mm a slot and 1.4 to 1.7 m/s, a slot takes 5.5 to 14 ms.
@pytest.mark.parametrize("seed", [2, 3, 5, 6, 7])
def test_no_edge_is_invented_or_put_aside(seed: int) -> None:
    truth = rounded(seed, 0.0, 0.01)
    motion = follow(truth.train, truth.car)
    assert (motion.missing, motion.ignored) == (0, 0)
    assert motion.stop_m == pytest.approx(truth.rest_m, abs=0.5 * truth.car.metres_per_edge)


@pytest.mark.parametrize(("seed", "missed"), [(2, 1), (5, 4), (7, 1), (13, 1), (24, 5)])
def test_missed_edges_are_found_by_the_edges_on_both_sides(seed: int, missed: int) -> None:
    truth = rounded(seed, 0.003, 0.01)
    motion = follow(truth.train, truth.car)
    assert motion.missing == missed
    assert motion.stop_m == pytest.approx(truth.rest_m, abs=0.5 * truth.car.metres_per_edge)


def test_slots_that_beat_with_the_tick_are_no_steps() -> None:
    passed = np.arange(400) * 0.0102
    slot = np.arange(400)
    assert np.array_equal(unmissed(np.round(passed, 2), slot, 0.01), slot)


def test_where_rounding_hides_all_nothing_is_claimed() -> None:
    slot = np.arange(300)
    assert np.array_equal(unmissed(np.round(slot * 0.004, 2), slot, 0.01), slot)


@pytest.mark.parametrize("missed", [21, 22, 23, 24])
def test_a_missed_edge_shows_among_slots_of_four_ticks(missed: int) -> None:
    """Two slots take 8 or 9 ticks then, and one may take 5."""
    passed = np.delete(np.arange(45), missed)
    time_s = np.round(0.0043 * passed + 0.0002 * (passed % 2), 3)
    counted = np.arange(44)
    found = second_look(time_s, counted, np.zeros(44, dtype=np.int64), 0.001)
    assert np.array_equal(found, passed)
