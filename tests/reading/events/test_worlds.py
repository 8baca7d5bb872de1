"""A small seeded sample of each world of the bench: intervals hold, nothing is invented."""

from __future__ import annotations

import numpy as np
import pytest

from bench.bench_worlds import FALSE
from bench.worlds import TRUE_CARS, case

SEEDS = range(500, 504)


@pytest.mark.parametrize("world", TRUE_CARS)
def test_intervals_hold_what_the_file_does_not_know(world: str) -> None:
    done = [case(world, seed) for seed in SEEDS]
    assert all(one.matched for one in done)
    z = np.concatenate([one.in_sds for one in done])
    assert np.abs(z).max() < 4.0
    assert np.sqrt(np.mean(z**2)) < 1.8
    codes = {str(finding.code) for one in done for finding in one.reading.findings}
    assert codes.isdisjoint(FALSE)


@pytest.mark.parametrize("seed", [5040, 5042, 5047, 5060, 5062])
def test_a_first_law_far_from_the_likeliest_leads_to_it(seed: int) -> None:
    """Tapers whose search ended far from its goal after an undamped first step."""
    assert case("taper", seed).matched
