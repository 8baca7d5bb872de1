"""Values by name, their differences and what follows from them, against drawn samples."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.fitted_values import FittedValues

COVARIANCE = np.array([[4.0, 1.0, 0.0], [1.0, 9.0, -2.0], [0.0, -2.0, 1.0]])
VALUES = FittedValues(("a", "b", "c"), np.array([10.0, 20.0, 30.0]), COVARIANCE)


def test_each_value_has_its_name_and_sd() -> None:
    assert (VALUES["b"].value, VALUES["b"].sd) == (20.0, 3.0)
    assert VALUES.covariance_of("c", "b") == -2.0
    assert "b" in VALUES
    assert "d" not in VALUES
    with pytest.raises(KeyError):
        VALUES["d"]


def test_a_difference_counts_what_goes_together() -> None:
    assert VALUES.difference("b", "a").value == 10.0
    assert VALUES.difference("b", "a").sd == pytest.approx(np.sqrt(4.0 + 9.0 - 2.0))
    assert VALUES.difference("b", "c").sd == pytest.approx(np.sqrt(9.0 + 1.0 + 4.0))


def test_what_follows_scatters_as_draws_do() -> None:
    gradient = np.array([[1.0, 1.0, 0.0], [0.0, 2.0, -1.0]])
    more = VALUES.with_derived(["sum", "twice"], [30.0, 10.0], gradient)
    draws = np.random.default_rng(0).multivariate_normal(VALUES.value, COVARIANCE, 40_000)
    seen = np.cov(np.column_stack([draws, draws @ gradient.T]).T)
    assert more.names == ("a", "b", "c", "sum", "twice")
    assert more["twice"].value == 10.0
    assert more.covariance == pytest.approx(seen, rel=0.05, abs=0.3)
    assert more.covariance_of("sum", "a") == pytest.approx(4.0 + 1.0)


def test_a_gradient_without_bounds_leaves_nothing_known() -> None:
    gradient = np.array([[1.0, 0.0, 0.0], [1e308, -1e308, 0.0]])
    more = VALUES.with_derived(["first", "wild"], [0.0, 0.0], gradient)
    assert more["wild"].sd == np.inf
    assert more["first"].sd == 2.0


def test_rounding_leaves_no_negative_variance() -> None:
    same = FittedValues(("a", "b"), np.zeros(2), np.full((2, 2), 1.0) - 1e-17 * np.eye(2))
    assert same.difference("a", "b").sd == 0.0
