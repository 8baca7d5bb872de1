"""Place and jitter of edges, from residuals whose noise is known."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.reading.edges.noise import (
    LEAST_JITTER_S,
    LEAST_PLACE_M,
    MOST_JITTER_S,
    MOST_PLACE_M,
    EdgeNoise,
    likeliest_noise,
)

START = EdgeNoise(place=3e-4, jitter_s=100e-6)
SPEED = np.linspace(0.05, 6.0, 3000)


@pytest.mark.parametrize(("place", "jitter"), [(1e-4, 20e-6), (2e-5, 200e-6)])
def test_both_causes_are_told_apart_by_speed(place: float, jitter: float) -> None:
    rng = np.random.default_rng(3)
    sd = np.hypot(place, SPEED * jitter)
    found = likeliest_noise(rng.normal(0.0, sd), SPEED, 0, START)
    assert found.place == pytest.approx(place, rel=0.25)
    assert found.jitter_s == pytest.approx(jitter, rel=0.1)


def test_parameters_already_fitted_are_paid_for() -> None:
    rng = np.random.default_rng(4)
    residual = rng.normal(0.0, 1e-4, 400)
    slow = np.full(400, 1e-3)
    plain, spent = (likeliest_noise(residual, slow, n, START) for n in (0, 100))
    assert spent.place / plain.place == pytest.approx(np.sqrt(4.0 / 3.0), rel=1e-3)


def test_perfect_edges_keep_a_finite_weight() -> None:
    found = likeliest_noise(np.zeros(200), np.full(200, 1.0), 0, START)
    assert found.place >= LEAST_PLACE_M * 0.999
    assert found.jitter_s >= LEAST_JITTER_S * 0.999


def test_the_weight_is_one_over_the_variance() -> None:
    noise = EdgeNoise(place=3.0, jitter_s=2.0)
    assert noise.weight(np.array([0.0, 2.0])).tolist() == [1.0 / 9.0, 1.0 / 25.0]


@pytest.mark.parametrize("residual_m", [1e4, 1e30])
def test_edges_that_no_law_explains_keep_some_weight(residual_m: float) -> None:
    rng = np.random.default_rng(5)
    off = rng.normal(0.0, residual_m, 100)
    found = likeliest_noise(off, np.linspace(0.0, 3.0, 100), 20, START)
    assert np.all(found.weight(np.linspace(0.0, 3.0, 100)) > 0.0)
    assert found.place <= 1.001 * MOST_PLACE_M
    assert found.jitter_s <= 1.001 * MOST_JITTER_S
