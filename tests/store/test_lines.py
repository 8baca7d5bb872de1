"""Lines of the Logbook: kept beside the runs, and none once their run is another."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.directly import of_a_file, old_store, say
from store.recorded import CAR, run_at
from unspool.ends import Ends
from unspool.store import Field, Line, Place, Store

OTHER_CAR, FLOOR = 'name = "Dunlin"', 'name = "hall"'
LINE = Line(
    run_id="1",
    basis="",
    code="code",
    winding=(("start", 3.5), ("run", 5.25)),
    weight_g=640.0,
    distance_m=12.61,
    ends=Ends.DISTANCE,
    peak_m_s=2.5,
    spark=(0, 100, 47, 0),
    findings=(("slipping", "warning"), ("coarse_times", "note")),
)


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        log = opened.begin_capture("virtual:")
        opened.save_found(log.capture, run_at(10), CAR)
        yield opened


def basis(store: Store) -> str:
    """The same in the list and of the run itself."""
    (row,) = store.runs()
    assert row.basis == store.run("1").basis
    return row.basis


def test_a_line_comes_back_as_it_was_kept(store: Store) -> None:
    assert store.lines() == {}
    store.keep_lines([LINE])
    assert store.lines() == {"1": LINE}
    unread = Line("1", "basis", "newer", fault="run 1 has hardly an edge")
    store.keep_lines([unread])
    assert store.lines() == {"1": unread}


def test_a_line_of_no_run_is_left_out_and_the_others_stay(store: Store) -> None:
    store.keep_lines([Line("77", "b", "c"), LINE])
    assert store.lines() == {"1": LINE}
    store.keep_lines([])
    assert store.lines() == {"1": LINE}


@pytest.mark.parametrize(
    "change",
    [
        {Field.CAR: OTHER_CAR},
        {Field.TRACK: FLOOR},
        {Field.TURNS: (("start", 3.0), ("run", 5.0))},
        {Field.WEIGHT_G: 655.0},
        {Field.CIRCUMFERENCE_MM: 380.0},
        {Field.CIRCUMFERENCE_SD_MM: 0.5},
    ],
)
def test_the_basis_follows_what_a_reading_rests_on(
    store: Store, change: dict[Field, float]
) -> None:
    before = basis(store)
    store.correct("1", change, "Ada")
    assert basis(store) != before
    store.undo_correction("1", "Ada")
    assert basis(store) == before


def test_the_basis_stays_if_only_words_change(store: Store) -> None:
    before = basis(store)
    for change in ({Field.NOTE: "new string"}, {Field.TAGS: ("wet",)}, {Field.TAPED_M: 12.5}):
        store.correct("1", change, "Ada")
    store.correct("1", {Field.DISCARDED: True}, "Ada")
    assert basis(store) == before


def test_the_basis_follows_a_run_that_is_found_with_more_edges(store: Store) -> None:
    before = basis(store)
    store.save_found(1, run_at(20), CAR)
    assert basis(store) != before


def test_the_revision_in_the_list_is_the_runs(store: Store) -> None:
    store.correct("1", {Field.NOTE: "new string"}, "Ada")
    (row,) = store.runs()
    assert row.revision == store.run("1").revision > 0


def test_lines_go_with_their_run(store: Store) -> None:
    store.keep_lines([LINE])
    with store._write() as connection:  # its foreign keys hold
        connection.exec_driver_sql("DELETE FROM runs")
    assert store.lines() == {}


@of_a_file
@pytest.mark.parametrize(
    "damage",
    [
        *("spark = '[1, null]'", "spark = x'ff'", "winding = '[[1]]'", "findings = '{'"),
        *("ends = 'x'", "distance_m = 'far'", "distance_m = 9e999"),
    ],
)
def test_a_damaged_line_is_none(store: Store, damage: str) -> None:
    store.keep_lines([LINE])
    say(store.place, f"UPDATE lines SET {damage}")
    assert store.lines() == {}
    store.keep_lines([LINE])
    assert store.lines() == {"1": LINE}


def test_a_store_from_before_there_were_lines_gets_them(tmp_path: Path) -> None:
    with Store.open(old_store(tmp_path / "older", 10)) as store:
        assert store.lines() == {}
