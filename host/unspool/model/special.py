"""Functions that keep the closed forms smooth as air drag or net force goes to 0.

Each takes a float or an array and returns the same. A float goes through `math`, which is ten times
as fast as an array of one element.
"""

from __future__ import annotations

import math

import numpy as np

from unspool.model.number import Number

# Below it the next term of a series, z^2 / 6 or smaller, is under a double's rounding.
_SMALL = 1e-8
# Below it a difference that vanishes as z^2 has lost more digits than four terms of its series.
_SMALL_SQUARE = 1e-3


def root(x: Number) -> Number:
    """The square root."""
    return math.sqrt(x) if isinstance(x, float) else np.sqrt(x)


def decay_mean(z: Number) -> Number:
    """(1 - exp(-z)) / z, the mean of exp(-t) over 0 to z; 1 at 0."""
    if isinstance(z, float):
        return -math.expm1(-z) / z if abs(z) > _SMALL else 1.0 - z / 2.0
    big = np.abs(z) > _SMALL
    safe = np.where(big, z, 1.0)
    return np.where(big, -np.expm1(-safe) / safe, 1.0 - z / 2.0)


def decay_lag(z: Number) -> Number:
    """(z - 1 + exp(-z)) / z^2; 1/2 at 0."""
    series = 0.5 - z / 6.0 + z * z / 24.0 - z * z * z / 120.0
    if isinstance(z, float):
        return (z + math.expm1(-z)) / (z * z) if abs(z) > _SMALL_SQUARE else series
    big = np.abs(z) > _SMALL_SQUARE
    safe = np.where(big, z, 1.0)
    return np.where(big, (safe + np.expm1(-safe)) / (safe * safe), series)


def log1p_over(z: Number) -> Number:
    """log(1 + z) / z; 1 at 0."""
    if isinstance(z, float):
        return math.log1p(z) / z if abs(z) > _SMALL else 1.0 - z / 2.0
    big = np.abs(z) > _SMALL
    safe = np.where(big, z, 1.0)
    return np.where(big, np.log1p(safe) / safe, 1.0 - z / 2.0)


def arc_over(y: Number) -> Number:
    """artanh(r) / r with r^2 = y if y > 0; arctan(r) / r with r^2 = -y if y < 0; 1 at 0."""
    if isinstance(y, float):
        r = math.sqrt(abs(y))
        if abs(y) <= _SMALL:
            return 1.0 + y / 3.0
        return (math.atanh(r) if y > 0 else math.atan(r)) / r
    r = np.sqrt(np.abs(y))
    big = np.abs(y) > _SMALL
    safe = np.where(big, r, 0.5)
    hyperbolic = np.arctanh(np.where(y > 0, safe, 0.5))
    return np.where(big, np.where(y > 0, hyperbolic, np.arctan(safe)) / safe, 1.0 + y / 3.0)
