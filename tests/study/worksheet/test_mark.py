"""Marks for numbers and for choices."""

from __future__ import annotations

import pytest

from unspool.study.worksheet import Ask, Choice, Mark, Number, mark

STORED = Number(Ask.ENERGY_STORED, {}, 3.51, "J")
STRING = Number(Ask.STRING_WOUND, {}, 0.547, "mm")
TIER = Choice(Ask.STRONGEST_TIER, {}, ("start", "run"), "start")


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (3.5, Mark.RIGHT),
        (3.584, Mark.RIGHT),  # with 10 m/s2
        (3.2, Mark.NOT_YET),
        (3510.0, Mark.POWER_OF_TEN),
        (-3.51, Mark.NOT_YET),
        (0.0, Mark.NOT_YET),
        ("3.51 J", Mark.NO_NUMBER),
    ],
)
def test_numbers(given: float | str, expected: Mark) -> None:
    assert mark(STORED, given) is expected


def test_the_unit_counts() -> None:
    assert mark(STRING, 547.0) is Mark.RIGHT
    assert mark(STRING, 0.547) is Mark.POWER_OF_TEN


def test_choices() -> None:
    assert mark(TIER, "start") is Mark.RIGHT
    assert mark(TIER, "run") is Mark.NOT_YET
    assert mark(TIER, 1.0) is Mark.NOT_YET
