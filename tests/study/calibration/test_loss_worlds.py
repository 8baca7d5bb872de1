"""A small sample of the worlds in which a car is not as its file says."""

from __future__ import annotations

import pytest

from study.calibration.loss_worlds import case
from unspool.study.calibration.types import TERMS

CARS = 5


@pytest.mark.parametrize("world", ["miscounted", "linear_drag", "loose_catch"])
def test_no_term_is_said_to_be_known_that_is_wrong(world: str) -> None:
    """Of 25 intervals that each hold 9 times of 10, 7 misses are a chance of 1 in 100."""
    cases = [case(world, seed) for seed in range(CARS)]
    assert not [term for one in cases for term in TERMS if one.falsely_known(term)]
    missed = sum(not one.holds(term) for one in cases for term in TERMS)
    assert missed < 7


def test_a_quarter_turn_too_few_is_found_and_is_no_drag() -> None:
    """Cars whose turns were miscounted by up to 0.3 keep their drag area."""
    for seed in range(CARS):
        one = case("miscounted", seed)
        area = one.told.term("drag_area_m2")
        assert area.low < 1.05 * one.car.drag_area_m2
        assert area.high > 0.95 * one.car.drag_area_m2
