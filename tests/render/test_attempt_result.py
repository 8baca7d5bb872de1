"""The sentence of an attempt, and what the tape says of the wheel: the values in them."""

from __future__ import annotations

from math import inf
from typing import Any

import pytest

from sample_run import sample_prediction, sample_reading
from unspool.finding import note
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.attempt_result import result_words, tape_words


def _result(distance_m: float, expected_m: float) -> str:
    expected = sample_prediction(distance_m=expected_m)
    reading = sample_reading(distance_m=distance_m, prediction=expected)
    return result_words(reading).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("went", "expected", "parts"),
    [
        (12.61, 13.41, ["12.61 m", "0.80 m short of", "13.41 m"]),
        (14.0, 13.41, ["14.00 m", "0.59 m past", "13.41 m"]),
        (13.412, 13.41, ["13.41 m", "as expected"]),
        (13.41, inf, ["13.41 m", "nothing would stop it"]),
    ],
)
def test_the_result_stands_beside_what_was_expected(
    went: float, expected: float, parts: list[str]
) -> None:
    said = _result(went, expected)
    assert [part for part in parts if part not in said] == []


def _tape(taped_m: float, **changes: Any) -> str:
    reading = sample_reading(distance_m=10.0, findings=(), **changes)
    return tape_words(reading, taped_m, 0.388).replace("\u00a0", " ")


def test_a_tape_that_differs_gives_the_circumference_that_fits_it() -> None:
    # 388 mm * 10.2 / 10
    assert "395.8 mm" in _tape(10.2)
    assert "388.0 mm" in _tape(10.2)
    assert "380.2 mm" in _tape(9.8)


def test_a_tape_within_what_a_hand_can_do_says_nothing_of_the_wheel() -> None:
    assert " mm" not in _tape(10.02)
    assert " mm" not in _tape(9.98)


@pytest.mark.parametrize("code", [ReadingCode.SLIPPING, ReadingCode.SLIP_AT_START])
def test_a_slip_that_was_found_explains_a_shorter_tape_and_no_longer_one(code: str) -> None:
    reading = sample_reading(distance_m=10.0, findings=(note(code),))
    assert "slipped" in tape_words(reading, 9.8, 0.388)
    assert " mm" not in tape_words(reading, 9.8, 0.388).replace("\u00a0", " ")
    assert "395.8 mm" in tape_words(reading, 10.2, 0.388).replace("\u00a0", " ")
