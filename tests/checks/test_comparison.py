"""Intervals and differences against published worked examples."""

from __future__ import annotations

import pytest

from unspool.intervals import student_factor
from unspool.study.compare.statistics import (
    Sample,
    combined,
    difference,
    mean_of,
    more_runs,
    sample,
)

# Extra hours of sleep under two drugs, ten patients: "Student" (1908), shipped with R as `sleep`.
FIRST = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
SECOND = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)


def test_welch_on_sleep() -> None:
    """R's t.test(extra ~ group, data = sleep): t -1.8608, df 17.776, -3.3654832 to 0.2054832."""
    apart = difference(sample(SECOND), sample(FIRST))
    assert apart.standard_error is not None
    assert apart.value / apart.standard_error == pytest.approx(-1.86081347, abs=1e-8)
    assert apart.freedom == pytest.approx(17.77647352, abs=1e-8)
    assert apart.interval == pytest.approx((-3.36548323, 0.20548323), abs=1e-8)


def test_pairs_of_sleep() -> None:
    """R's paired t.test on the same rows: t -4.0621 on 9 degrees of freedom."""
    pairs = sample([a - b for a, b in zip(FIRST, SECOND, strict=True)])
    within = mean_of(pairs)
    assert within.standard_error is not None
    assert within.value / within.standard_error == pytest.approx(-4.06212768, abs=1e-8)
    assert within.freedom == pytest.approx(9)
    assert within.interval is not None
    assert within.interval[1] < 0.0


# The end gauge of JCGM 100:2008, H.1: standard, comparison, expansion and temperature, in nm.
END_GAUGE = [(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)]


def test_end_gauge() -> None:
    """JCGM 100:2008, H.1.6: combined 32 nm, 16 degrees of freedom, 93 nm at 99 % (t 2.92)."""
    error, freedom = combined(END_GAUGE)
    assert error == pytest.approx(32.0, abs=0.5)
    assert int(freedom) == 16
    factor = student_factor(int(freedom), 0.99)
    assert factor == pytest.approx(2.92, abs=0.005)
    assert factor * error == pytest.approx(93.0, abs=0.5)


@pytest.mark.parametrize(("power_runs", "apart"), [(17, 1.0), (64, 0.5), (26, 0.8)])
def test_group_sizes(power_runs: int, apart: float) -> None:
    """Cohen (1988), table 2.4.1: for power 0.80 at 5 % two-sided, d 0.5 takes 64 in each group,
    0.8 takes 26 and 1.0 takes 17. From memory.
    """
    start = 2
    more = more_runs(Sample(start, 0.0, 1.0), Sample(start, apart, 1.0))
    assert more == power_runs - start
