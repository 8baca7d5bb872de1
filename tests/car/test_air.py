"""Air density: limits and laws; the published values are in tests/checks."""

from __future__ import annotations

import pytest

from unspool.car.air import air_density


def test_moist_air_is_lighter_than_dry() -> None:
    assert air_density(25.0, humidity=1.0) < air_density(25.0, humidity=0.0)


def test_density_nearly_follows_the_ideal_gas() -> None:
    ideal = 101_325.0 / (287.05 * 293.15)
    assert air_density(20.0, 101_325.0, 0.0) == pytest.approx(ideal, rel=1e-3)


def test_default_is_a_room() -> None:
    assert air_density() == air_density(20.0, 101_325.0, 0.5)
