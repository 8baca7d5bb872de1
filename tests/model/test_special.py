"""The smooth functions against high-precision values, and floats against arrays."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal, getcontext

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.model import special

getcontext().prec = 60


def decay_mean(z: Decimal) -> Decimal:
    return (1 - (-z).exp()) / z


def decay_lag(z: Decimal) -> Decimal:
    return (z - 1 + (-z).exp()) / (z * z)


def log1p_over(z: Decimal) -> Decimal:
    return (1 + z).ln() / z


def artanh_over(y: Decimal) -> Decimal:
    r = y.sqrt()
    return ((1 + r) / (1 - r)).ln() / 2 / r


@pytest.mark.parametrize(
    ("function", "exact"),
    [
        (special.decay_mean, decay_mean),
        (special.decay_lag, decay_lag),
        (special.log1p_over, log1p_over),
        (special.arc_over, artanh_over),
    ],
)
@pytest.mark.parametrize("z", [1e-12, 1e-9, 3e-8, 1e-5, 9e-4, 1.1e-3, 0.1, 0.7])
def test_against_sixty_digits(
    function: Callable[[float], float], exact: Callable[[Decimal], Decimal], z: float
) -> None:
    assert function(z) == pytest.approx(float(exact(Decimal(z))), rel=2e-13)


@pytest.mark.parametrize(
    ("y", "value"), [(-1.0, np.pi / 4), (-3.0, np.pi / 3 / np.sqrt(3)), (0, 1)]
)
def test_arc_over_below_zero(y: float, value: float) -> None:
    assert special.arc_over(float(y)) == pytest.approx(value, rel=1e-14)


@given(st.floats(-0.9, 0.9))
def test_floats_and_arrays_agree(z: float) -> None:
    for function in (special.decay_mean, special.decay_lag, special.log1p_over, special.arc_over):
        assert function(np.array([z]))[0] == pytest.approx(function(z), rel=1e-15)
