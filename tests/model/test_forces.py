"""The formulas that one run and many runs share: by hand, and floats as arrays."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.model import forces

KILOGRAMS = st.floats(0.01, 10.0)
LEVERS = st.floats(0.01, 0.9)
SPEEDS = st.floats(0.0, 20.0)


def test_start_margin_is_the_drive_over_what_holds_the_car() -> None:
    assert forces.start_margin(3.0, 2.0) == 1.5
    assert forces.start_margin(3.0, -0.1) == inf
    assert forces.start_margin(0.0, -0.1) == 0.0
    many = forces.start_margin(np.array([3.0, 3.0, 0.0]), np.array([2.0, -0.1, -0.1]))
    assert many.tolist() == [1.5, inf, 0.0]


def test_forces_on_a_slope_of_3_in_5() -> None:
    g = 9.80665
    assert forces.normal_force(2.0, 0.6) == pytest.approx(2.0 * g * 0.8)
    assert forces.grade_force(2.0, 0.6) == pytest.approx(2.0 * g * 0.6)
    assert forces.resistance(0.01, 2.0, 0.5, 0.6) == pytest.approx(0.01 * 2.0 * g * 0.8 + 0.5)
    assert forces.drive_force(0.9, 0.5, 0.2) == pytest.approx(0.9 * 0.5 * g * 0.2)
    assert forces.free_fall(0.5, 0.6) == pytest.approx(g * 0.5 / 0.6)


@given(SPEEDS, SPEEDS, LEVERS, KILOGRAMS, KILOGRAMS)
def test_a_catch_without_drive_loss_is_an_inelastic_collision(
    speed: float, weight_speed: float, lever: float, coasting: float, hanging: float
) -> None:
    after, lost = forces.catch(speed, weight_speed, lever, coasting, hanging, hanging)
    before = coasting * speed + hanging * lever * weight_speed
    assert coasting * after + hanging * lever * (after * lever) == pytest.approx(before)
    # The textbook's loss: half the reduced mass times the closing speed squared.
    reduced = 1.0 / (1.0 / hanging + lever**2 / coasting)
    expected = 0.5 * reduced * (weight_speed - lever * speed) ** 2
    assert lost == pytest.approx(expected, abs=1e-9 * (1.0 + coasting * speed**2))


@given(st.lists(st.tuples(SPEEDS, SPEEDS, LEVERS, KILOGRAMS, KILOGRAMS, KILOGRAMS), min_size=1))
def test_floats_and_arrays_give_the_same(rows: list[tuple[float, ...]]) -> None:
    after, lost = forces.catch(*np.array(rows).T)
    for i, row in enumerate(rows):
        assert (after[i], lost[i]) == pytest.approx(forces.catch(*row), rel=1e-12, abs=1e-9)


def test_the_mass_that_accelerates() -> None:
    assert forces.accelerated_mass(2.0, 0.5, 0.2) == pytest.approx(2.02)
    assert forces.normal_force(1.0, 0.0) == pytest.approx(9.80665)
