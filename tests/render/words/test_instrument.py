"""The sentences of what a recording and a sensor check find."""

from __future__ import annotations

from render.words.instrument_findings import RECORD, SENSORS
from render.words.spoken import all_faults, faults
from unspool.instrument.codes import RecordCode
from unspool.instrument.sensors.codes import GOOD, UNKNOWN, SensorCode
from unspool.reading.edges.ending import Ending
from unspool.render.words import board, sensors
from unspool.render.words.findings import TEXTS, sentence


def test_every_code_has_a_sentence_and_an_example() -> None:
    assert set(board.TEXTS) == set(RecordCode) == {one.code for one in RECORD}
    assert set(sensors.TEXTS) == set(SensorCode) == {one.code for one in SENSORS}
    assert {*board.TEXTS, *sensors.TEXTS} <= set(TEXTS)


def test_sentences_can_be_read() -> None:
    assert all_faults([*RECORD, *SENSORS]) == []
    assert [fault for text in board.ENDINGS.values() for fault in faults(text)] == []


def test_findings_with_other_values_say_different_things() -> None:
    texts = [sentence(one) for one in [*RECORD, *SENSORS]]
    assert len(set(texts)) == len(texts)


def test_only_a_cut_run_says_why() -> None:
    assert set(board.ENDINGS) == {ending for ending in Ending if ending.is_cut}


def test_what_is_good_is_no_warning() -> None:
    assert not GOOD & UNKNOWN
    assert {one.severity for one in SENSORS if one.code in GOOD} == {"note"}
