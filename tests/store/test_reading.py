"""Reading a store changes nothing in it, and waits for nobody who writes."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from store.recorded import CAR, SAVED_EACH, chunk, run_at
from unspool.store import Field, Store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "s") as store:
        log = store.begin_capture("virtual:")
        for number in (1, 2, 3):
            log.append(float(number), chunk(number))
        store.save_found(log.capture, run_at(SAVED_EACH), CAR)
    return tmp_path / "s"


def read_all(store: Store) -> tuple[object, ...]:
    capture = store.capture(1)
    train = store.run("1").train
    whole = store.captures(), store.chunks(1), store.runs(), store.check()
    return capture, train.time_s.tolist(), capture.sessions, *whole


def files(path: Path) -> dict[str, bytes]:
    """The store and its log; SQLite's shared memory holds the readers' own marks."""
    there = [file for file in path.parent.iterdir() if not file.name.endswith("-shm")]
    return {file.name: file.read_bytes() for file in there}


def test_reading_changes_no_byte(path: Path) -> None:
    with Store.open(path) as store:
        store.correct("1", {Field.NOTE: "to have something in the log"}, "Ada")
        before = files(path)
        first = read_all(store)
        assert read_all(store) == first
        assert files(path) == before
        assert len(before) == 2


def test_reading_goes_on_while_another_program_writes(path: Path) -> None:
    with Store.open(path, busy_s=0.05) as store:
        before = read_all(store)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            other.execute("UPDATE runs SET builder_note = 'under way'")
            assert read_all(store) == before
            other.execute("COMMIT")
        assert store.run("1").builder_note == "under way"
