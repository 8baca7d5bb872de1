"""Counted turns go onto the drum in the order of winding: last used, first wound."""

from __future__ import annotations

import pytest

import sample_run
from unspool.car.winding import counted_turns


@pytest.mark.parametrize(
    ("total", "turns"),
    [
        (0.0, None),
        (0.24, None),
        (2.0, (0.0, 2.0)),
        (5.5, (0.0, 5.5)),
        (7.0, (1.5, 5.5)),
        (9.0, (3.5, 5.5)),
        (9.25, (3.75, 5.5)),
    ],
)
def test_the_tier_that_lets_go_last_is_wound_first(
    total: float, turns: tuple[float, ...] | None
) -> None:
    """The sample car's plan: 3.5 turns on its first tier, 5.5 on its second."""
    assert counted_turns(sample_run.sample_car(), total) == turns


@pytest.mark.parametrize(
    ("steps", "turns"),
    [
        ((5.0, 4.0), (4.0, 5.0)),
        ((9.0,), (3.5, 5.5)),
        ((3.0, 3.0, 3.0), (3.5, 5.5)),
    ],
)
def test_the_builders_marks_win_where_they_fit(
    steps: tuple[float, ...], turns: tuple[float, ...]
) -> None:
    """Two marked steps are the two tiers; one or three say nothing about a drum of two."""
    assert counted_turns(sample_run.sample_car(), 9.0, steps) == turns
