"""The small picture of speed over distance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.render.text.blocks import ROWS, mark_row, speed_rows

SMALL = 1e-6


def test_a_straight_rise() -> None:
    # Bin centres at 1/8, 3/8, 5/8 and 7/8 of the way; the top one is the largest and fills 8 of 8.
    assert speed_rows(np.array([0.0, 8.0]), np.array([0.0, 8.0]), 4, rows=1) == ["▁▃▆█"]


def test_rows_stack_from_the_top() -> None:
    top, bottom = speed_rows(np.array([0.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0]), 4, rows=2)
    # 1, 1, 1.25 and 1.75 of 1.75, in sixteenths: 9, 9, 11, 16
    assert top == "▁▁▃█"
    assert bottom == "████"


def test_a_roll_back_is_left_out() -> None:
    out = speed_rows(np.array([0.0, 1.0]), np.array([1.0, 1.0]), 6)
    back = speed_rows(np.array([0.0, 1.0, 0.2]), np.array([1.0, 1.0, -0.5]), 6)
    assert out == back


@pytest.mark.parametrize(
    ("distance", "speed"),
    [([], []), ([0.0], [1.0]), ([0.0, 0.0], [0.0, 0.0]), ([0.0, 1.0], [0.0, 0.0])],
)
def test_nothing_to_draw(distance: list[float], speed: list[float]) -> None:
    assert speed_rows(np.array(distance), np.array(speed), 10) == []


@given(
    st.lists(st.tuples(st.floats(-1.0, 50.0), st.floats(-2.0, 5.0)), max_size=40),
    st.integers(1, 100),
)
def test_never_wider_than_asked(points: list[tuple[float, float]], width: int) -> None:
    distance = np.array([p[0] for p in points])
    speed = np.array([p[1] for p in points])
    rows = speed_rows(distance, speed, width)
    assert all(len(row) <= width for row in rows)
    # Between points, rounding may swallow a speed that is almost 0.
    rolled = len(points) > 1 and distance.max() > SMALL and bool((speed > SMALL).all())
    assert len(rows) == ROWS or not rolled


def test_marks_stand_under_their_distance() -> None:
    assert mark_row([0.0, 5.0, 10.0], 10.0, 10) == "▲    ▲   ▲"
    assert mark_row([11.0, -1.0], 10.0, 10) == ""
