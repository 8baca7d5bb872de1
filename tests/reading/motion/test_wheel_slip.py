"""The racing wheel at the start, separated from a hand's nudge and from an ordinary launch."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.reading.motion.wheel_slip import StringPull, WheelSlip, find_slip

PITCH = 0.02
PULL = StringPull(car=0.7 / PITCH, wheels=9.0 / PITCH)


def edges(way: np.ndarray, t: np.ndarray, seed: int, slot_sd: float = 0.02) -> np.ndarray:
    """When a disc of 20 slots of PITCH, cut by hand, shows its edges on a rising way over time."""
    rng = np.random.default_rng(seed)
    k = np.arange(int(way[-1] / PITCH))
    place = (k + 0.6 + np.tile(rng.normal(0.0, slot_sd, 20), len(k) // 20 + 1)[: len(k)]) * PITCH
    return np.interp(place, way, t) + rng.normal(0.0, 50e-6, len(k))


def launch(race: float, spun_s: float, car: float, pull: float, rest_s: float = 0.0) -> tuple:
    """Way over time: at `race` m/s2 for spun_s, on from the car's `car` m/s at `pull` m/s2."""
    t = np.linspace(0.0, spun_s + rest_s + 3.0, 20001)
    speed = np.where(t < spun_s, race * t, car + pull * np.maximum(t - spun_s - rest_s, 0.0))
    speed[(t >= spun_s) & (t < spun_s + rest_s)] = 0.0
    way = np.concatenate([[0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1]) * np.diff(t))])
    return way, t


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("race", "spun_s", "car"),
    [(8.0, 0.15, 0.04), (5.0, 0.3, 0.1), (3.0, 0.6, 0.25), (1.5, 0.5, 0.3)],
)
def test_a_race_that_drops_to_a_rolling_car_is_a_slip(
    race: float, spun_s: float, car: float, seed: int
) -> None:
    slip = find_slip(edges(*launch(race, spun_s, car, 0.6), seed), PULL)
    assert isinstance(slip, WheelSlip)
    assert slip.first == 0
    raced = 0.5 * race * spun_s**2 / PITCH
    assert slip.last == pytest.approx(raced, abs=1.5)
    assert 1 <= slip.gripped - slip.last <= 3


@pytest.mark.parametrize("seed", range(5))
def test_a_nudge_that_comes_to_rest_before_the_launch_is_none(seed: int) -> None:
    assert find_slip(edges(*launch(8.0, 0.15, 0.0, 0.6, rest_s=0.5), seed), PULL) is None


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("missed", [None, 4, 7, 30])
def test_an_ordinary_launch_is_none(seed: int, missed: int | None) -> None:
    times = edges(*launch(0.6, 3.0, 1.8, -0.1), seed)
    if missed is not None:
        times = np.delete(times, missed)
    assert find_slip(times, PULL) is None


def test_too_few_edges_are_none() -> None:
    assert find_slip(np.array([0.0, 0.1, 0.15, 0.19, 0.4, 0.6]), PULL) is None


@pytest.mark.parametrize("seed", range(5))
def test_a_sensor_that_flickers_on_the_first_slot_is_none(seed: int) -> None:
    times = edges(*launch(0.6, 3.0, 1.8, -0.1), seed)
    flicker = times[1] + np.cumsum(np.random.default_rng(seed).uniform(1e-3, 5e-3, 3))
    assert find_slip(np.sort(np.concatenate([times, flicker])), PULL) is None
