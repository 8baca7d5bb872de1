"""The ramp test, against rolls of the run model and drawn rolls."""

from __future__ import annotations

from math import nan, sqrt

import numpy as np
import pytest

from unspool.errors import InputError
from unspool.study.calibration.ramp import RampRoll, rolling_from_ramp
from unspool.virtual.truth.true_car import GRAVITY

RAMP_M = 0.9
HEIGHTS = [0.03, 0.03, 0.05, 0.05, 0.07, 0.07]


def roll(height: float, coefficient: float, miss: float = 0.0) -> RampRoll:
    """From forces: down the slope at g (sin - c cos), then over the floor at -c g."""
    sine = height / RAMP_M
    down = GRAVITY * (sine - coefficient * sqrt(1.0 - sine**2))
    return RampRoll(height, RAMP_M, 2.0 * down * RAMP_M / (2.0 * coefficient * GRAVITY) + miss)


def test_exact_rolls_give_their_coefficient() -> None:
    told = rolling_from_ramp([roll(height, 0.014) for height in HEIGHTS])
    assert told.value == pytest.approx(0.014, rel=1e-12)
    assert told.low == pytest.approx(0.014, rel=1e-6)
    assert told.high == pytest.approx(0.014, rel=1e-6)


def test_one_roll_gives_a_value_and_no_interval() -> None:
    """5 cm high, 95 cm of level way on the ramp and 4.05 m on the floor: 0.01."""
    told = rolling_from_ramp([(0.05, sqrt(0.95**2 + 0.05**2), 4.05)])
    assert told.value == pytest.approx(0.01)
    assert told.low is told.high is told.scatter_m is None


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(8)
    inside = refused = 0
    for _ in range(600):
        misses = 0.1 * rng.standard_normal(len(HEIGHTS))
        rolls = [roll(h, 0.014, miss) for h, miss in zip(HEIGHTS, misses.tolist(), strict=True)]
        try:
            told = rolling_from_ramp(rolls)
        except InputError:
            refused += 1
            continue
        assert told.low is not None
        assert told.high is not None
        inside += told.low < 0.014 < told.high
    assert refused < 15
    assert inside / (600 - refused) == pytest.approx(0.9, abs=0.035)


def test_a_tape_held_to_another_point_is_refused() -> None:
    rolls = [roll(height, 0.014, 0.4) for height in HEIGHTS]
    with pytest.raises(InputError, match=r"point to 0\.40 m at no height.*same point"):
        rolling_from_ramp(rolls)


def test_a_car_that_its_coefficient_would_have_held_is_refused() -> None:
    with pytest.raises(InputError, match="would have held the car of roll 1"):
        rolling_from_ramp([(0.01, 1.0, 0.2), (0.1, 1.0, 2.0), (0.1, 1.0, 1.6)])


@pytest.mark.parametrize(
    "wrong",
    [
        (0.0, 1.0, 1.0),
        (1.2, 1.0, 1.0),
        (0.1, 1.0, 0.0),
        (0.1, nan, 1.0),
        (-0.1, 1.0, 2.0),
        (50, 900, 2600),
    ],
)
def test_impossible_measures_are_refused(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(InputError, match="roll 2: height"):
        rolling_from_ramp([(0.05, 1.0, 3.0), wrong])


def test_no_roll_is_refused() -> None:
    with pytest.raises(InputError, match="no roll"):
        rolling_from_ramp([])
