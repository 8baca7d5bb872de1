"""The sentence of an attempt, and what the tape says of the wheel: the values in them."""

from __future__ import annotations

from math import inf

import pytest

from sample_run import sample_prediction, sample_reading
from unspool.finding import Finding, warning
from unspool.reading.events.cause import _LESS, _MORE, Cause
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.attempt_result import TapedWheel, result_words, tape_words, went_words
from unspool.render.words.reading_units import ReadingUnits, reading_in


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
        (13.5, 13.41, ["13.50 m", "as expected", "13.41 m"]),
        (0.003, 0.0, ["0.00 m", "as expected"]),
        (13.41, inf, ["13.41 m", "nothing would stop it"]),
    ],
)
def test_the_result_stands_beside_what_was_expected(
    went: float, expected: float, parts: list[str]
) -> None:
    said = _result(went, expected)
    assert [part for part in parts if part not in said] == []


@pytest.mark.parametrize(
    ("went_m", "cause", "parts"),
    [
        (9.0, Cause.ROLLING, ["worse", "floor"]),
        (16.0, Cause.ROLLING, ["better", "floor"]),
        (12.0, Cause.ROLLING, ["11.35 to 14.05", "worse"]),
        (9.0, Cause.DRIVE, ["slower", "winding"]),
        (16.0, ReadingCode.RELEASED_LATE, ["more string"]),
        (16.0, None, ["3.45"]),
    ],
)
def test_the_likely_cause_follows(went_m: float, cause: str | None, parts: list[str]) -> None:
    """The sample run should go 12.55 m, between 11.35 and 14.05 m with 90 %."""
    said = went_words(went_m, sample_prediction(), cause).replace("\u00a0", " ")
    assert [part for part in parts if part not in said] == []
    assert ("floor" in said) == ("floor" in parts)


def test_both_ends_of_the_range_are_read_in_feet() -> None:
    with reading_in(ReadingUnits.FEET):
        said = went_words(12.0, sample_prediction(), None)
    assert "37.23 to 46.08" in said, "11.35 m and 14.05 m"


def test_every_finding_that_may_be_the_cause_has_its_words() -> None:
    for code in {*_LESS, *_MORE}:
        assert went_words(9.0, sample_prediction(), code) != went_words(
            9.0, sample_prediction(), None
        )


def test_without_an_expectation_it_is_the_distance_alone() -> None:
    assert went_words(9.0, None, None).replace("\u00a0", " ") == "9.00 m."


def _tape(taped_m: float, *findings: Finding, driven: bool = True) -> str:
    """Of a wheel that rolled 10 m, 388 mm a turn."""
    reading = sample_reading(distance_m=10.0, findings=findings)
    return tape_words(reading, taped_m, TapedWheel(0.388, driven)).replace("\u00a0", " ")


SLIPPED = warning(ReadingCode.SLIPPING, share=0.04, over_m=5.0, turns=None)
SPUN = warning(ReadingCode.SLIP_AT_START, spun_s=0.2, lost_m=0.2)
SLID = warning(ReadingCode.SLIP_AT_START, from_m=0.0)  # of which no length is known


@pytest.mark.parametrize(
    ("taped_m", "findings", "driven", "there", "absent"),
    [
        (10.2, (), True, ["395.8 mm", "388.0 mm"], ["Either"]),  # 388 mm * 10.2 / 10
        (9.8, (), True, ["380.2 mm", "Either", "slip"], []),
        (9.8, (), False, ["380.2 mm"], ["Either"]),
        (10.02, (), True, ["agree"], [" mm"]),
        (9.98, (), True, ["agree"], [" mm"]),
        (9.8, (SLIPPED,), True, ["0.20 m", "because it slipped"], [" mm"]),
        (9.8, (SPUN,), True, ["0.20 m", "because it slipped"], [" mm"]),
        (9.6, (SLIPPED,), True, ["0.20 m of it", "372.5 mm"], ["because"]),
        (9.6, (SLIPPED, SPUN), True, ["0.40 m", "because it slipped"], [" mm"]),
        (9.8, (SLID,), True, ["Either", "380.2 mm"], []),
        (10.2, (SLIPPED,), True, ["395.8 mm"], ["because"]),
        (9.8, (SLIPPED,), False, ["380.2 mm"], ["because"]),
    ],
)
def test_the_tape_says_only_what_its_numbers_support(
    taped_m: float,
    findings: tuple[Finding, ...],
    driven: bool,
    there: list[str],
    absent: list[str],
) -> None:
    said = _tape(taped_m, *findings, driven=driven)
    assert [part for part in there if part not in said] == []
    assert [part for part in absent if part in said] == []
