"""A cell that holds what no version of unspool wrote: the rest of the store stays readable."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest

from unspool.errors import StoreError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Store

CAR = 'name = "Sandpiper"'


def train(n: int) -> PulseTrain:
    return PulseTrain(np.arange(n) * 0.01, np.ones(n, np.int8), np.arange(n, dtype=np.int64))


def made(path: Path) -> Path:
    with Store.open(path) as store:
        store.add_import(train(2), CAR, source="kept.csv")
    return path


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("source", "CAST(x'61ff62' AS TEXT)"),
        ("builder_note", "x'00'"),
        ("started_us", "9223372036854775807"),
        ("started_us", "'yesterday'"),
        ("edges", "'many'"),
    ],
)
def test_a_damaged_cell_is_one_bad_row(tmp_path: Path, column: str, value: str) -> None:
    path = made(tmp_path / "s")
    with Store.open(path) as store:
        store.add_import(train(5), CAR, source="other.csv")
    with sqlite3.connect(path) as direct:
        direct.execute(f"UPDATE runs SET {column} = {value} WHERE id = 1")
    with Store.open(path) as store:
        bad, good = store.runs()
        assert column in bad.source
        assert (good.source, good.edges) == ("other.csv", 5)
        assert len(store.run("2").train) == 5
        with pytest.raises(StoreError) as caught:
            store.run("1")
    assert column in str(caught.value)


@pytest.mark.parametrize("lost", [-1, 2**31, 2**63 - 1])
def test_a_count_of_lost_edges_that_no_board_has(tmp_path: Path, lost: int) -> None:
    path = made(tmp_path / "s")
    with sqlite3.connect(path) as direct:
        direct.execute("UPDATE runs SET lost_before = ?", (lost,))
    with Store.open(path) as store, pytest.raises(StoreError, match="lost_before"):
        store.run("1")


def test_winding_that_is_no_list_of_turns(tmp_path: Path) -> None:
    path = made(tmp_path / "s")
    with sqlite3.connect(path) as direct:
        direct.execute("UPDATE runs SET wound_turns = 3, wound_steps = '[null]'")
    with Store.open(path) as store, pytest.raises(StoreError) as caught:
        store.run("1")
    assert "wound_steps" in str(caught.value)


def test_a_damaged_chunk_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "s"
    with Store.open(path) as store:
        log = store.begin_capture("virtual:")
        for data in (b"one", b"two"):
            log.append(1.0, data)
    with sqlite3.connect(path) as direct:
        direct.execute("DROP TRIGGER chunks_are_kept")
        direct.execute("UPDATE chunks SET origin = 'nobody' WHERE id = 1")
    with Store.open(path) as store:
        assert [chunk.data for chunk in store.chunks(1)] == [b"two"]
