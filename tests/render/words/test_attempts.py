"""Attempts are called by car, day and number."""

from __future__ import annotations

from datetime import date

import pytest

from unspool.render.words.attempts import attempt_name, ordinal

TODAY = date(2026, 11, 28)


@pytest.mark.parametrize(
    ("attempt", "name"),
    [
        (("Sandpiper", date(2026, 11, 27), 3), "Sandpiper, 27 Nov, 3rd"),
        (("Sandpiper", date(2025, 1, 2), 11), "Sandpiper, 2 Jan 2025, 11th"),
        ((None, TODAY, 1), "No car, 28 Nov, 1st"),
    ],
)
def test_a_name_says_car_day_and_number(attempt: tuple[str | None, date, int], name: str) -> None:
    assert attempt_name(*attempt, TODAY) == name


def test_numbers_end_as_they_are_said() -> None:
    said = " ".join(ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 103, 111))
    assert said == "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 103rd 111th"
