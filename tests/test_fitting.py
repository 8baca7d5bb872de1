"""Least squares against hand-made cases, a library and drawn samples."""

from __future__ import annotations

from math import isnan, sqrt

import numpy as np
import pytest
from scipy import stats

from unspool.fitting import fit_columns, fit_curve, fit_line
from unspool.intervals import student_factor


def test_a_line_by_hand() -> None:
    """(0, 1), (1, 2), (2, 6): slope 2.5, start 0.5, residuals 0.5, -1, 0.5."""
    fit = fit_line(np.array([0.0, 1.0, 2.0]), np.array([1.0, 2.0, 6.0]))
    assert fit.terms == pytest.approx([0.5, 2.5])
    assert fit.squares == pytest.approx(1.5)
    assert fit.sd == pytest.approx(sqrt(1.5))
    assert fit.errors[1] == pytest.approx(sqrt(1.5 / 2.0))


def test_a_library_agrees_on_a_line() -> None:
    rng = np.random.default_rng(5)
    x = rng.uniform(-3.0, 8.0, 30)
    y = 2.0 - 0.7 * x + rng.standard_normal(30)
    fit, known = fit_line(x, y), stats.linregress(x, y)
    assert fit.terms == pytest.approx([known.intercept, known.slope])
    assert fit.errors == pytest.approx([known.intercept_stderr, known.stderr])


def test_a_curve_that_is_a_line_fits_like_one() -> None:
    rng = np.random.default_rng(6)
    x = rng.uniform(1.0, 2.0, 12)
    y = 3.0 * x - 1.0 + 0.1 * rng.standard_normal(12)
    line, curve = fit_line(x, y), fit_curve(lambda b: b[0] + b[1] * x, y, (1.0, 1.0))
    assert curve.terms == pytest.approx(line.terms, rel=1e-9)
    assert curve.covariance == pytest.approx(line.covariance, rel=1e-8)


def test_a_fit_through_every_point_has_no_error_to_tell() -> None:
    fit = fit_line(np.array([1.0, 2.0]), np.array([3.0, 5.0]))
    assert fit.terms == pytest.approx([1.0, 2.0])
    assert isnan(fit.sd)
    assert np.isnan(fit.errors).all()


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(7)
    x = np.array([1.0, 1.5, 2.0, 4.0, 7.0])
    inside = 0
    for _ in range(2000):
        fit = fit_line(x, 0.3 + 0.5 * x + 0.2 * rng.standard_normal(5))
        inside += abs(fit.terms[1] - 0.5) < student_factor(fit.freedom, 0.9) * fit.errors[1]
    assert inside / 2000 == pytest.approx(0.9, abs=0.02)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ([[1.0, 2.0], [1.0, 2.0], [1.0, 2.0]], "separate"),
        ([[0.0, 1.0], [0.0, 2.0], [0.0, 3.0]], "zeros"),
        ([[1.0, 2.0]], "fewer"),
    ],
)
def test_columns_that_tell_nothing_are_refused(columns: list[list[float]], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit_columns(np.array(columns), np.ones(len(columns)))


def test_a_curve_with_a_term_that_does_nothing_is_refused() -> None:
    x = np.linspace(1.0, 2.0, 8)
    with pytest.raises(ValueError, match="cannot separate"):
        fit_curve(lambda b: b[0] * x + 0.0 * b[1], 2.0 * x + np.sin(x), (1.0, 1.0))
