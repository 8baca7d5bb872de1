"""The smooth curve of times that no wheel makes: a curve with finite values, or a refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from unspool.errors import InputError
from unspool.reading.motion.smooth import FEWEST_EDGES, smooth


def test_times_over_nine_powers_of_ten_are_refused() -> None:
    with pytest.raises(InputError):
        smooth(np.geomspace(1e-6, 1e3, 500), np.arange(500), 20)


@given(
    st.floats(-12.0, 2.0),
    st.floats(0.1, 12.0),
    st.integers(FEWEST_EDGES, 200),
    st.sampled_from((1, 20, 180)),
)
def test_any_spread_of_times_gives_a_curve_or_a_refusal(
    first: float, decades: float, count: int, pulses: int
) -> None:
    t: NDArray[np.float64] = np.logspace(first, first + decades, count)
    try:
        curve = smooth(t, np.arange(count), pulses)
    except InputError:
        return
    assert np.isfinite(curve.speed).all()
    assert np.isfinite(curve.speed_sd).all()
    assert np.isfinite(curve.jitter_s)
