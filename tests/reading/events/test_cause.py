"""Why a run differs from its prediction: drive and coast are changed one at a time."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from sample_run import CHANGE_M, RELEASE_M, RELEASE_V2, STOP_M, sample_prediction, sample_reading
from unspool.finding import note
from unspool.reading.events.cause import Cause, cause_of, likely_cause
from unspool.reading.events.codes import ReadingCode

COAST = 0.12  # m/s^2, of the sample run


def _run(drive: float = 1.0, rolling: float = 1.0) -> tuple[np.ndarray, np.ndarray, float]:
    """Distance and speed with v^2 at the release, and the resistance after it, times these."""
    square, slows = drive * RELEASE_V2, rolling * COAST
    stop_m = RELEASE_M + square / (2.0 * slows)
    x = np.arange(0.0195, stop_m, 0.0195)
    before = square * np.sqrt(x / RELEASE_M)
    return x, np.sqrt(np.where(x < RELEASE_M, before, 2.0 * slows * (stop_m - x))), stop_m


@pytest.mark.parametrize(
    ("drive", "rolling", "cause"),
    [
        (1.0, 1.15, Cause.ROLLING),
        (1.0, 0.9, Cause.ROLLING),
        (1.1, 1.0, Cause.DRIVE),
        (0.8, 1.0, Cause.DRIVE),
        (1.1, 1.4, Cause.ROLLING),  # faster, and yet short
        (0.95, 1.05, None),  # half by half
    ],
)
def test_the_larger_part_is_the_cause(drive: float, rolling: float, cause: Cause | None) -> None:
    assert likely_cause(sample_prediction(), *_run(drive, rolling)) is cause


@pytest.mark.parametrize(
    ("drive", "rolling", "code", "cause"),
    [
        (0.8, 1.0, ReadingCode.EARLY_RELEASE, ReadingCode.EARLY_RELEASE),
        (1.2, 1.0, ReadingCode.RELEASED_LATE, ReadingCode.RELEASED_LATE),
        (1.2, 1.0, ReadingCode.EARLY_RELEASE, Cause.DRIVE),  # which makes no run longer
        (1.0, 1.2, ReadingCode.EARLY_RELEASE, Cause.ROLLING),
        (0.8, 1.0, ReadingCode.CHATTER, Cause.DRIVE),
    ],
)
def test_a_finding_says_why_the_drive_differed(
    drive: float, rolling: float, code: ReadingCode, cause: str
) -> None:
    assert likely_cause(sample_prediction(), *_run(drive, rolling), (note(code),)) is cause


def test_turns_that_are_not_as_said_come_before_what_they_lead_to() -> None:
    both = (note(ReadingCode.WEIGHT_LANDED_FIRST), note(ReadingCode.WINDING_DIFFERS))
    cause = likely_cause(sample_prediction(), *_run(0.8, 1.0), both)
    assert cause is ReadingCode.WINDING_DIFFERS


def test_nothing_is_said_of_a_run_too_short_to_coast() -> None:
    x, v, _ = _run()
    short = x < CHANGE_M
    parts = x[short], v[short], CHANGE_M
    assert likely_cause(sample_prediction(), *parts) is None
    held = (note(ReadingCode.STRING_HELD),)
    assert likely_cause(sample_prediction(), *parts, held) is ReadingCode.STRING_HELD
    none = np.empty(0)
    assert likely_cause(sample_prediction(), none, none, 0.0) is None


def test_nothing_is_said_of_a_car_that_nothing_should_stop() -> None:
    assert likely_cause(sample_prediction(distance_m=inf), *_run(1.0, 1.3)) is None


def test_the_cause_of_a_reading_is_that_of_its_motion() -> None:
    longer = sample_prediction(distance_m=STOP_M * 1.3)
    assert cause_of(sample_reading(prediction=longer)) is Cause.ROLLING
