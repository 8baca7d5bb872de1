"""Means, differences and the number of runs, against literals, laws and drawn samples."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from unspool.study.compare.statistics import (
    Sample,
    combined,
    difference,
    mean_of,
    more_pairs,
    more_runs,
    repeatability,
    sample,
)

values = st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=12)


def test_a_sample_by_hand() -> None:
    """12, 14, 16: mean 14, sd 2, and Student's 4.303 for two degrees of freedom."""
    three = sample([12.0, 14.0, 16.0])
    assert (three.count, three.mean, three.sd) == (3, 14.0, 2.0)
    interval = mean_of(three).interval
    assert interval == pytest.approx(
        (14.0 - 4.3027 * 2 / sqrt(3), 14.0 + 4.3027 * 2 / sqrt(3)), 1e-4
    )
    assert repeatability(three) == pytest.approx(4.3027 * sqrt(2.0) * 2.0, rel=1e-4)


def test_one_run_tells_no_scatter() -> None:
    one, three = sample([15.2]), sample([12.0, 14.0, 16.0])
    assert one.sd is None
    assert mean_of(one).interval is None
    assert repeatability(one) is None
    assert difference(one, three).value == pytest.approx(-1.2)
    assert difference(one, three).interval is None
    assert more_runs(one, three) is None


def test_runs_that_came_out_the_same_tell_no_scatter() -> None:
    same = sample([15.0, 15.0])
    assert mean_of(same).interval is None
    assert difference(same, sample([16.0, 16.0])).interval is None
    assert more_pairs(same) is None


def test_no_values_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a value"):
        sample([])


def test_a_certain_part_adds_no_freedom() -> None:
    assert combined([(3.0, 5.0), (0.0, inf)]) == pytest.approx((3.0, 5.0))
    assert combined([(3.0, inf), (4.0, inf)]) == (5.0, inf)


@given(values, values)
def test_welch_as_scipy_has_it(a: list[float], b: list[float]) -> None:
    assume(np.std(a) > 1e-6)
    assume(np.std(b) > 1e-6)
    mine = difference(sample(a), sample(b))
    theirs = stats.ttest_ind(b, a, equal_var=False).confidence_interval(0.95)
    assert mine.interval == pytest.approx((theirs.low, theirs.high), rel=1e-6, abs=1e-6)


@given(values, values)
def test_order_only_turns_the_sign(a: list[float], b: list[float]) -> None:
    there, back = difference(sample(a), sample(b)), difference(sample(b), sample(a))
    assert there.value == -back.value
    if there.interval is None:
        assert back.interval is None
    else:
        low, high = there.interval
        assert back.interval == pytest.approx((-high, -low))


@given(values, st.floats(0.001, 1000.0))
def test_units_do_not_matter(a: list[float], factor: float) -> None:
    assume(np.std(a) > 1e-3)
    small = mean_of(sample(a)).interval
    large = mean_of(sample([factor * x for x in a])).interval
    assert small
    assert large == pytest.approx([factor * x for x in small], rel=1e-6, abs=1e-6 * factor)


def test_runs_said_to_be_enough_are_enough() -> None:
    """Of 4000 drawn experiments of that size about 80 % show the difference, one run fewer less."""
    rng = np.random.default_rng(11)
    more = more_runs(Sample(3, 10.0, 1.0), Sample(3, 11.5, 0.5))
    assert more is not None

    def told(each: int) -> float:
        a = rng.normal(10.0, 1.0, (4000, each))
        b = rng.normal(11.5, 0.5, (4000, each))
        return float(np.mean(stats.ttest_ind(b, a, axis=1, equal_var=False).pvalue < 0.05))

    assert told(3 + more) > 0.78
    assert told(3 + more - 1) < 0.82
    assert told(3) < 0.6


def test_a_difference_far_below_the_scatter_is_not_worth_telling() -> None:
    assert more_runs(Sample(3, 10.0, 1.0), Sample(3, 10.1, 1.0)) is None
    assert more_runs(Sample(3, 10.0, 1.0), Sample(3, 10.0, 1.0)) is None


def test_a_difference_far_above_the_scatter_needs_no_more() -> None:
    assert more_runs(Sample(5, 10.0, 0.1), Sample(5, 20.0, 0.1)) == 0
    assert more_pairs(Sample(5, 10.0, 0.1)) == 0
