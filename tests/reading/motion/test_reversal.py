"""Turns found from the rhythm of edges alone."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.reading.motion.reversal import turning_points


def uneven(seed: int, count: int) -> np.ndarray:
    """Places of 20 slots a turn, 2 % of a pitch off, repeated."""
    rng = np.random.default_rng(seed)
    return np.arange(count) + np.tile(rng.normal(0.0, 0.02, 20), count // 20 + 1)[:count]


@pytest.mark.parametrize("seed", range(6))
def test_a_turn_is_found_between_its_two_passages_of_one_slot(seed: int) -> None:
    reach = 40.0 + np.random.default_rng([1, seed]).uniform(0.1, 0.9)
    places = uneven(seed, 41)
    up, down = places[places < reach], places[places < reach][::-1]
    # Up at 6 slots/s2, back at 4: sqrt(2 way / a) each.
    times = np.concatenate(
        [-np.sqrt(2.0 * (reach - up) / 6.0), np.sqrt(2.0 * (reach - down) / 4.0)]
    )
    assert turning_points(times) == [len(up) - 1]


@pytest.mark.parametrize("seed", range(6))
def test_a_crest_just_cleared_is_no_turn(seed: int) -> None:
    t = np.linspace(-4.0, 4.0, 4001)
    way = 0.5 * t + 5.0 * t**3 / 6.0  # slows to half a slot a second
    places = uneven(seed, 110) - 54.0
    times = np.interp(places[(places > way[0]) & (places < way[-1])], way, t)
    assert turning_points(times) == []


def test_a_launch_and_a_stop_are_no_turns() -> None:
    places = uneven(3, 300)
    speed2 = np.minimum(12.0 * (places + 0.4), 2.0 * (300.5 - places))
    times = np.cumsum(1.0 / np.sqrt(np.maximum(speed2, 0.1)))
    assert turning_points(times) == []
    assert turning_points(times[:6]) == []
