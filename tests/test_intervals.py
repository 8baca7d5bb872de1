"""Interval factors against any textbook's table."""

from __future__ import annotations

from math import inf

import pytest
from scipy.stats import norm

from unspool.intervals import HALF_IN_SDS, HIGH, LEVEL, LOW, student_factor


def test_student_factors_from_any_table() -> None:
    assert student_factor(1, 0.95) == pytest.approx(12.706, abs=5e-4)
    assert student_factor(10, 0.95) == pytest.approx(2.228, abs=5e-4)
    assert student_factor(inf, 0.95) == pytest.approx(1.960, abs=5e-4)


def test_the_gaussian_factor_belongs_to_the_level() -> None:
    assert pytest.approx(LEVEL) == HIGH - LOW
    assert norm.cdf(HALF_IN_SDS) == pytest.approx(HIGH, abs=1e-15)
    assert student_factor(inf, LEVEL) == pytest.approx(HALF_IN_SDS, rel=1e-6)
