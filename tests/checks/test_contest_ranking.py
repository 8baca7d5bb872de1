"""Places of a contest against SciPy's ranks.

Source: SciPy's manual, `scipy.stats.rankdata`, method "min": "also referred to as 'competition'
ranking". Rounding against IEEE 754-2019, 4.3.1, roundTiesToAway, by Python's `decimal`.
"""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from unspool.contest import ranked
from unspool.contest.scoring import rounded


@given(st.lists(st.integers(-5, 5).map(float), min_size=1, max_size=30))
def test_places_are_those_of_scipy(values: list[float]) -> None:
    found = ranked(dict(enumerate(values)))
    assert [found[i] for i in range(len(values))] == rankdata(values, method="min").tolist()


def test_the_known_case_of_competition_ranking() -> None:
    assert list(ranked(dict(zip("abcd", (1.0, 2.0, 2.0, 3.0), strict=True))).values()) == [
        *(1, 2, 2, 4)
    ]


@given(st.integers(0, 10**6))
def test_halves_round_away_from_zero(thousandths: int) -> None:
    metres = thousandths / 1000.0
    assert np.isclose(rounded(metres, 0.01), (thousandths + 5) // 10 / 100.0, rtol=0.0, atol=1e-12)
