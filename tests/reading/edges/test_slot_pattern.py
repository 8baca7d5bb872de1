"""The projection that eliminates pattern and origin, against dense least squares and discs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from unspool.reading.edges.slot_pattern import SLOT_SD, PatternProjection, pitches, places
from unspool.reading.edges.wheel_edges import WheelEdges

NO_PRIOR = 1e4  # sd of a pattern of which nothing is known


@dataclass(frozen=True)
class Case:
    slot: np.ndarray
    weight: np.ndarray
    column: np.ndarray
    pulses: int

    def projection(self, pattern_sd: float) -> PatternProjection:
        return PatternProjection.of(self.slot, self.pulses, self.weight, pattern_sd)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    pulses, n = draw(st.integers(1, 12)), draw(st.integers(1, 60))
    boundary = np.cumsum(draw(arrays.arrays(np.int64, n, elements=st.integers(1, 3))))
    weight = draw(arrays.arrays(np.float64, n, elements=st.floats(0.1, 100.0)))
    column = draw(arrays.arrays(np.float64, n, elements=st.floats(-5.0, 5.0)))
    return Case(np.mod(boundary, pulses), weight, column, pulses)


@given(cases())
def test_without_a_prior_it_is_idempotent(case: Case) -> None:
    projection = case.projection(NO_PRIOR)
    once = projection.residual(case.column)
    assert projection.residual(once) == pytest.approx(once, abs=1e-5)


@given(cases())
def test_without_a_prior_what_is_left_is_orthogonal_to_every_pattern(case: Case) -> None:
    projection = case.projection(NO_PRIOR)
    left = projection.residual(case.column)
    assert projection.sums(left) == pytest.approx(np.zeros(case.pulses), abs=1e-5)


@given(cases(), st.floats(0.01, 1.0))
def test_with_a_prior_it_is_symmetric_in_the_weights(case: Case, sd: float) -> None:
    projection = case.projection(sd)
    other = np.cos(np.arange(len(case.column)))
    one = case.weight * case.column @ projection.residual(other)
    two = case.weight * other @ projection.residual(case.column)
    assert one == pytest.approx(two, rel=1e-9, abs=1e-9)


@given(cases(), st.floats(0.01, 1.0))
def test_many_columns_go_as_one(case: Case, sd: float) -> None:
    projection = case.projection(sd)
    many = projection.residuals(np.column_stack([case.column, case.column**2]))
    assert many[:, 0] == pytest.approx(projection.residual(case.column), abs=1e-12)
    assert many[:, 1] == pytest.approx(projection.residual(case.column**2), abs=1e-12)


@given(cases(), st.floats(0.01, 1.0))
def test_pattern_and_origin_are_those_of_dense_least_squares(case: Case, sd: float) -> None:
    """Columns of indicators and a column of ones, the prior as rows of its own."""
    root, n, p = np.sqrt(case.weight), len(case.column), case.pulses
    dense = np.zeros((n + p, p + 1))
    dense[np.arange(n), case.slot] = root
    dense[:n, p] = root
    dense[n:, :p] = np.eye(p) / sd
    solution, *_ = np.linalg.lstsq(dense, np.r_[root * case.column, np.zeros(p)], rcond=None)
    projection = case.projection(sd)
    origin = projection.origin(case.column)
    assert origin == pytest.approx(solution[p], rel=1e-6, abs=1e-6)
    found = projection.pattern(case.column - origin)
    assert found == pytest.approx(solution[:p], rel=1e-6, abs=1e-6)
    rows = projection.whitened(case.column[:, None])[:, 0]
    left = np.r_[root * case.column, np.zeros(p)] - dense @ solution
    assert rows[:n] == pytest.approx(left[:n], abs=1e-5)
    assert rows[n:] == pytest.approx(-left[n:], abs=1e-5)


def test_an_edge_without_weight_tells_nothing() -> None:
    slot, column = np.array([0, 1, 0, 1]), np.array([1.0, 2.0, 3.0, 9.0])
    weight = np.array([1.0, 1.0, 1.0, 0.0])
    all_of = PatternProjection.of(slot, 2, weight, SLOT_SD)
    fewer = PatternProjection.of(slot[:3], 2, weight[:3], SLOT_SD)
    assert all_of.origin(column) == fewer.origin(column[:3])
    assert all_of.pattern(column).tolist() == fewer.pattern(column[:3]).tolist()


@pytest.mark.parametrize("seed", range(4))
def test_the_pattern_of_a_known_disc_is_recovered(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pulses, pitch, origin = 20, 0.03, 0.4
    pattern = rng.normal(0.0, 0.03, pulses)
    pattern -= pattern.mean()
    boundary = np.arange(12 * pulses)
    rolled = places(boundary, pattern) * pitch - origin * pitch
    measured = rolled + rng.normal(0.0, 1e-4, len(boundary))
    edges = WheelEdges(np.zeros(len(boundary)), boundary, pulses, pitch)
    projection = edges.projection(np.full(len(boundary), 1e8))
    gap = edges.way_m - measured
    found_m = projection.origin(gap)
    found = -projection.pattern(gap - found_m) / pitch
    assert found_m == pytest.approx(origin * pitch, abs=1e-4)
    # Twelve edges a boundary, each off by 1/300 slot.
    assert np.std(found - pattern) < 1.5 * (1e-4 / pitch) / np.sqrt(12.0)


def test_the_prior_keeps_an_even_pitch_until_edges_speak() -> None:
    """One edge a boundary, as uncertain as the pattern itself: half of it is believed."""
    edges = WheelEdges(np.zeros(4), np.arange(4), 4, 0.02)
    projection = edges.projection(np.full(4, (SLOT_SD * 0.02) ** -2))
    column = np.array([0.004, -0.004, 0.004, -0.004])
    assert projection.pattern(column) == pytest.approx(0.5 * column)


def test_pitches_have_the_mean_of_one() -> None:
    assert pitches(np.array([0.1, -0.05, 0.2])).tolist() == pytest.approx([0.85, 1.25, 0.9])


def test_edges_count_any_way() -> None:
    edges = WheelEdges(np.arange(3.0), np.array([-1, 0, 2]), 5, 0.1, known_m=0.01)
    assert edges.slot.tolist() == [4, 0, 2]
    assert edges.way_m == pytest.approx([-0.09, 0.01, 0.21])
    assert edges.reach_m == pytest.approx(0.5)
