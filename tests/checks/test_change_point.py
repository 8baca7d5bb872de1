"""The best-subset search against a change point that has been found many times.

Annual flow of the Nile at Aswan, 1871 to 1970, in 1e8 m3. Cobb 1978 (Biometrika 65) and the
documentation of several statistics packages print the rows and the break of 1898. The means and
sums of squares were recomputed independently.
"""

from __future__ import annotations

import numpy as np
import pytest
import ruptures

from unspool.reading.events.best_subset import best_subsets

ROWS = """
1120 1160  963 1210 1160 1160  813 1230 1370 1140  995  935 1110  994 1020  960 1180  799  958 1140
1100 1210 1150 1250 1260 1220 1030 1100  774  840  874  694  940  833  701  916  692 1020 1050  969
 831  726  456  824  702 1120 1100  832  764  821  768  845  864  862  698  845  744  796 1040  759
 781  865  845  944  984  897  822 1010  771  676  649  846  812  742  801 1040  860  874  848  890
 744  749  838 1050  918  986  797  923  975  815 1020  906  901 1170  912  746  919  718  714  740
"""
FLOW = np.array([float(flow) for flow in ROWS.split()])


def search(steps: int) -> list[int]:
    """Numbers of observations before each step in the mean."""
    years = np.arange(len(FLOW))
    columns = (years[:, None] > np.arange(len(FLOW) - 1)).astype(float)
    years_free = len(FLOW) - 1
    columns -= columns.mean(axis=0)
    *_, chosen = best_subsets(columns, FLOW - FLOW.mean(), years_free, steps)
    return [i + 1 for i in chosen]


def test_the_rows_are_the_published_ones() -> None:
    assert len(FLOW) == 100
    assert np.sum((FLOW - FLOW.mean()) ** 2) == pytest.approx(2835156.75)


def test_the_break_after_1898() -> None:
    (before,) = search(1)
    assert 1871 + before - 1 == 1898
    first, second = FLOW[:before], FLOW[before:]
    assert (first.mean(), second.mean()) == pytest.approx((1097.75, 849.972222), abs=5e-7)
    left = np.sum((first - first.mean()) ** 2) + np.sum((second - second.mean()) ** 2)
    assert left == pytest.approx(1597457.194444)


@pytest.mark.parametrize("steps", [1, 2])
def test_a_library_with_an_exact_search_agrees(steps: int) -> None:
    exact = ruptures.Dynp(model="l2", min_size=1, jump=1).fit(FLOW).predict(n_bkps=steps)
    assert search(steps) == exact[:-1]
