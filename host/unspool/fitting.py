"""Least squares: how measured values depend on others, with errors and correlations.

Errors are those of ordinary least squares: values with one common scatter, estimated by the
residuals (JCGM 100:2008, H.3; Draper and Smith, Applied Regression Analysis, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import nan, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Columns that differ by less than this share of themselves do not differ.
_RANK = 1e-13
_CLOSEST = 1e-15


@dataclass(frozen=True)
class Fit:
    """Terms (k,) with their covariance (k, k); squares is the sum of the squared residuals.

    Without degrees of freedom nothing shows the scatter: covariance and sd are NaN.
    """

    terms: Array
    covariance: Array
    squares: float
    freedom: int

    @property
    def sd(self) -> float:
        """Standard deviation of one value around the fit."""
        return sqrt(self.squares / self.freedom) if self.freedom > 0 else nan

    @property
    def errors(self) -> Array:
        """(k,) standard errors of the terms."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def correlation(self) -> Array:
        """(k, k) correlations of the terms."""
        return np.asarray(self.covariance / np.outer(self.errors, self.errors))

    def combination(self, weights: Sequence[float]) -> tuple[float, float]:
        """Value and standard error of the sum of weights x terms."""
        w = np.asarray(weights, dtype=float)
        return float(w @ self.terms), sqrt(float(w @ self.covariance @ w))


def fit_columns(columns: Array, y: Array) -> Fit:
    """y (n,) as a sum of terms x columns (n, k).

    Raises ValueError if the columns do not separate the terms.
    """
    if len(y) < columns.shape[1]:
        raise ValueError("fewer values than terms")
    size = np.linalg.norm(columns, axis=0)
    if np.any(size == 0.0):
        raise ValueError("a column of zeros shows nothing")
    q, r = np.linalg.qr(columns / size)
    if np.abs(np.diag(r)).min() < _RANK:
        raise ValueError("the columns do not separate the terms")
    terms = np.linalg.inv(r) @ (q.T @ y) / size
    return _fit(terms, r, size, y - columns @ terms)


def fit_line(x: Array, y: Array) -> Fit:
    """y = terms[0] + terms[1] x; raises ValueError where x does not vary."""
    return fit_columns(np.column_stack([np.ones_like(x), x]), y)


def fit_curve(curve: Callable[[Array], Array], y: Array, start: Sequence[float]) -> Fit:
    """y (n,) as curve(terms), from a first guess `start` of which no term is 0.

    Levenberg and Marquardt's way. Raises ValueError if y does not show the terms.
    """
    from scipy.optimize import least_squares  # slow to load, and lines do without it

    scale = np.abs(np.asarray(start, dtype=float))

    def residual(z: Array) -> Array:
        return curve(z * scale) - y

    answer = least_squares(
        residual,
        np.sign(start),
        jac="3-point",
        method="lm",
        x_scale="jac",
        xtol=_CLOSEST,
        ftol=_CLOSEST,
        gtol=_CLOSEST,
        max_nfev=10_000,
    )
    _, r = np.linalg.qr(np.asarray(answer.jac))
    if answer.status <= 0 or not np.abs(np.diag(r)).min() > _RANK * np.abs(r).max():
        raise ValueError("the values cannot separate the terms of this curve")
    return _fit(answer.x * scale, r, 1.0 / scale, answer.fun)


def _fit(terms: Array, r: Array, size: Array, residual: Array) -> Fit:
    """From the triangle r of columns that were divided by their size."""
    squares, freedom = float(residual @ residual), len(residual) - len(terms)
    inverse = np.linalg.inv(r) / size[:, None]
    variance = squares / freedom if freedom > 0 else nan
    return Fit(terms, variance * inverse @ inverse.T, squares, freedom)
