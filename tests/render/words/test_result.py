"""What was not measured is called a distance nowhere: headline, table, list, comparison."""

from __future__ import annotations

from dataclasses import replace

import pytest

import sample_run
from unspool.reading.edges.ending import Ending
from unspool.reading.events.types import Reading
from unspool.reading.motion.types import Motion
from unspool.render.html.page import reading_page
from unspool.render.words.result import end_label, end_words
from unspool.render.words.rows import compared_rows
from unspool.study.compare.quantities import QUANTITIES

WHOLE = sample_run.sample_reading()


def cut(reading: Reading) -> Reading:
    train = replace(reading.motion.train, ending=Ending.BOARD_RESTARTED)
    return replace(reading, motion=replace(reading.motion, train=train, stop_seen=False))


def late(reading: Reading) -> Reading:
    train = replace(reading.motion.train, lost_before=271)
    return replace(reading, motion=replace(reading.motion, train=train))


def words_of(motion: Motion) -> str:
    return end_words(motion, 7.85).replace("\u00a0", " ")


def test_how_far_it_went_in_a_few_words() -> None:
    assert words_of(WHOLE.motion) == "stopped at 7.85 m"
    assert words_of(cut(WHOLE).motion) == "cut off at 7.85 m, no stop seen"
    assert words_of(late(WHOLE).motion) == (
        "stopped 7.85 m after its first edge, 271 edges lost before"
    )


def test_only_a_whole_runs_figure_is_called_its_distance() -> None:
    labels = [end_label(one.motion) for one in (WHOLE, cut(WHOLE), late(WHOLE))]
    assert labels == ["distance", "cut off at", "after its first edge"]


@pytest.mark.parametrize("spoil", [cut, late])
def test_a_run_that_is_not_whole_counts_nowhere_as_a_distance(spoil: object) -> None:
    assert callable(spoil)
    reading = spoil(WHOLE)
    assert not reading.motion.measures_distance
    values = {one.key: one.value(reading) for one in QUANTITIES}
    assert (values["distance_m"], values["duration_s"]) == (None, None)
    assert values["peak_speed_m_s"] == WHOLE.peak_speed_m_s
    rows = {name: got for name, got, _, _ in compared_rows(reading)}
    assert rows["distance"] == rows["duration"] == "not known"
    assert "Stopped at" not in reading_page(reading, "run 1")
