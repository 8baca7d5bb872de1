"""All sentences in one table."""

from __future__ import annotations

from unspool.render.words import (
    board,
    calibration,
    comparison,
    contest,
    plan,
    prediction,
    reading,
    rollout,
    sensors,
)
from unspool.render.words.findings import TEXTS

TABLES = [
    reading.TEXTS,
    rollout.TEXTS,
    calibration.TEXTS,
    comparison.TEXTS,
    board.TEXTS,
    sensors.TEXTS,
    prediction.TEXTS,
    plan.TEXTS,
    contest.TEXTS,
]


def test_no_code_has_two_sentences() -> None:
    assert sum(len(table) for table in TABLES) == len(TEXTS)
