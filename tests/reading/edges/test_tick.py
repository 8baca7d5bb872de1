"""The tick that times were rounded to."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.reading.edges.tick import tick_of


def times(seed: int, n: int = 60) -> np.ndarray:
    return np.cumsum(np.random.default_rng(seed).uniform(0.004, 0.06, n))


@pytest.mark.parametrize("tick", [0.001, 0.002, 0.005, 0.01, 1 / 64, 1 / 100, 0.05, 1.0])
@pytest.mark.parametrize("start", [0.0, 1.7e9])
def test_rounded_times_show_their_tick(tick: float, start: float) -> None:
    own = start + np.round(times(1) * 400.0) * tick
    assert tick_of(own) == pytest.approx(tick, rel=1e-3)


@given(st.integers(0, 10_000))
def test_times_as_they_come_show_none(seed: int) -> None:
    assert tick_of(times(seed)) == 0.0


@pytest.mark.parametrize("tick", [0.5e-6, 4e-6, 1e-4])
def test_a_fine_tick_does_not_matter(tick: float) -> None:
    assert tick_of(np.round(times(2) / tick) * tick) == 0.0


@pytest.mark.parametrize("n", [0, 1, 2, 10])
def test_few_times_show_none(n: int) -> None:
    assert tick_of(np.arange(n) * 0.01) == 0.0


def test_times_of_one_instant_show_none() -> None:
    assert tick_of(np.full(50, 3.0)) == 0.0
