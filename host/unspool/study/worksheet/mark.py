"""Marks: whether an answer that a pupil gave is right."""

from __future__ import annotations

from enum import StrEnum
from math import isclose

from unspool.study.worksheet.types import Choice, Question

LARGEST_ERROR = 0.05  # pupils round on the way, and take 10 or 9.81 m/s2
UNITS = {"mm": 1e-3}  # others are SI


class Mark(StrEnum):
    """POWER_OF_TEN: the digits are right, so a unit or the decimal point is not.

    NO_NUMBER: it cannot be read as one, as "3.5 J" cannot.
    """

    RIGHT = "right"
    NOT_YET = "not_yet"
    POWER_OF_TEN = "power_of_ten"
    NO_NUMBER = "no_number"


def mark(question: Question, given: float | str) -> Mark:
    """The mark of an answer: a number in the question's unit, or one of its options."""
    if isinstance(question, Choice):
        return Mark.RIGHT if given == question.answer else Mark.NOT_YET
    if isinstance(given, str):
        return Mark.NO_NUMBER
    value = given * UNITS.get(question.unit, 1.0)
    if isclose(value, question.answer, rel_tol=LARGEST_ERROR, abs_tol=_least(question.unit)):
        return Mark.RIGHT
    powers = (10.0**power for power in (-3, -2, -1, 1, 2, 3))
    shifted = any(isclose(value * p, question.answer, rel_tol=LARGEST_ERROR) for p in powers)
    return Mark.POWER_OF_TEN if shifted else Mark.NOT_YET


def _least(unit: str) -> float:
    """Half a percent of a share that may be 0: a forecast can be right."""
    return 0.5 if unit == "%" else 0.0
