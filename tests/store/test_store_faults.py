"""A store that cannot be used says why in one sentence, and what it held stays."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from sqlalchemy import create_engine, text

from store.directly import Refused, old_store, say
from store.recorded import run_at
from unspool.errors import StoreError, StoreWaitError
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Field, KnownEdges, Place, Store, columns

CAR = 'name = "Sandpiper"'


def train(n: int = 2) -> PulseTrain:
    rng = np.random.default_rng(5)
    return PulseTrain(
        np.cumsum(rng.uniform(0.01, 0.02, n)), np.ones(n, np.int8), np.arange(n, dtype=np.int64)
    )


def made(path: Path) -> Path:
    with Store.open(path) as store:
        store.add_import(train(), CAR, source="kept.csv")
    return path


def one_sentence(error: pytest.ExceptionInfo[StoreError], *words: str) -> None:
    said = str(error.value)
    assert "\n" not in said
    for word in words:
        assert word in said
    assert error.value.exit_status == 2


def test_locked(tmp_path: Path) -> None:
    path = made(tmp_path / "s")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with Store.open(path, busy_s=0.05) as store:
        assert len(store.runs()) == 1  # readers need no lock
        with pytest.raises(StoreWaitError) as caught:
            store.correct("1", {Field.NOTE: "new string"}, "Ada")
        one_sentence(caught, "locked", str(path), "--store")
        other.execute("ROLLBACK")
        store.correct("1", {Field.NOTE: "new string"}, "Ada")


def test_a_damaged_schema_that_is_no_text(tmp_path: Path) -> None:
    path = made(tmp_path / "s")
    with sqlite3.connect(path) as direct:
        direct.execute("PRAGMA journal_mode = DELETE")
    direct.close()
    data = path.read_bytes()
    at = data.index(b"INTEGER", data.index(b"CREATE TABLE captures"))
    path.write_bytes(data[:at] + b"'\xccTEGER" + data[at + 7 :])
    with pytest.raises(StoreError) as caught, Store.open(path) as store:
        store.runs()
    one_sentence(caught, "damaged", str(path))


def test_locked_while_recording_keeps_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "s"
    with Store.open(path, busy_s=0.05) as store:
        log = store.begin_capture("virtual:")
        log.append(1.0, b"kept")
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError) as caught:
            log.append(2.0, b"refused")
        one_sentence(caught, "locked")
        assert [c.data for c in store.chunks(log.capture)] == [b"kept"]  # readers go on
        other.execute("ROLLBACK")
        log.append(3.0, b"again")
        assert [c.data for c in store.chunks(log.capture)] == [b"kept", b"again"]


def test_full_database(tmp_path: Path) -> None:
    """SQLITE_FULL, as from a disk without room: nothing of the run that did not fit is there."""
    with Store.open(tmp_path / "s") as store:
        store.add_import(train(), CAR, source="kept.csv")
        with store._engine.connect() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        limit = f"PRAGMA max_page_count = {pages + 1}"
        with store._write() as connection:
            connection.exec_driver_sql(limit)
            with pytest.raises(Exception, match="full"):
                connection.exec_driver_sql("INSERT INTO cars VALUES (9, 'n', hex(zeroblob(99999)))")
        # the pool hands the same connection out again, with its limit
        with pytest.raises(StoreError) as caught:
            store.add_import(train(5000), "x = 1", source="big.csv")
        one_sentence(caught, "full", "safe")
        assert [row.source for row in store.runs()] == ["kept.csv"]
        assert store.check() == []


LIMITED = """
import resource, sys
from pathlib import Path
from unspool.errors import StoreError
from unspool.store import Store
store = Store.open(Path(sys.argv[1]))
log = store.begin_capture("virtual:")
size = Path(sys.argv[1] + "-wal").stat().st_size
resource.setrlimit(resource.RLIMIT_FSIZE, (size + 100_000, size + 100_000))
kept = 0
try:
    while True:
        log.append(1.0, bytes(10_000))
        kept += 1
except StoreError as error:
    print(kept)
    print(error)
"""


def test_disk_that_refuses_more(tmp_path: Path) -> None:
    """The kernel's own refusal (a file size limit) while a capture grows."""
    path = tmp_path / "s"
    out = subprocess.run(
        [sys.executable, "-c", LIMITED, str(path)], capture_output=True, text=True, check=True
    )
    kept, said = out.stdout.splitlines()
    assert "disk" in said
    assert "safe" in said
    with Store.open(path) as store:
        assert len(store.chunks(1)) == int(kept) > 0
        assert store.check() == []


def test_not_a_database(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear library,\n" * 200)
    with pytest.raises(StoreError) as caught:
        Store.open(path)
    one_sentence(caught, "not a store", str(path))
    assert path.read_text() == "Dear library,\n" * 200


def test_another_programs_database(tmp_path: Path) -> None:
    path = tmp_path / "books.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE books (title TEXT)")
    with pytest.raises(StoreError) as caught:
        Store.open(path)
    one_sentence(caught, "another program", str(path))
    names = sqlite3.connect(path).execute("SELECT name FROM sqlite_schema").fetchall()
    assert names == [("books",)]


def test_damaged_pages(tmp_path: Path) -> None:
    path = tmp_path / "s"
    with Store.open(path) as store:
        for step in range(40):
            store.add_import(train(200 + step), f"x = {step}", source="a.csv")
    whole = bytearray(path.read_bytes())
    whole[4096:] = bytes(b ^ 0xA5 for b in whole[4096:])
    path.write_bytes(whole)
    with pytest.raises(StoreError) as caught, Store.open(path) as store:
        store.run("40")
    one_sentence(caught, "damaged", str(path))


def test_a_folder_in_place_of_the_file(tmp_path: Path) -> None:
    with pytest.raises(StoreError) as caught:
        Store.open(tmp_path)
    one_sentence(caught, "is a folder")


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError) as caught:
        Store.open(tmp_path / "file" / "s")
    one_sentence(caught, "folder", "--store")


def test_a_capture_never_changes_and_one_with_a_run_stays(place: Place) -> None:
    """The tables themselves refuse it, whatever the program does."""
    with Store.open(place) as store:
        store.begin_capture("virtual:").append(1.0, b"kept")
        store.save_found(1, run_at(10), CAR)
    for change in ("DELETE FROM chunks", "UPDATE chunks SET data = ''"):
        with pytest.raises(Refused, match=r"only grow|needs this capture"):
            say(place, change)


def test_a_store_of_the_first_schema_keeps_its_captures(tmp_path: Path) -> None:
    path = tmp_path / "s"
    old_store(path, 1, "INSERT INTO captures VALUES (4, 'serial:COM3', 17)")
    with Store.open(path) as store:
        (row,) = store.captures()
        assert (row.id, row.link, row.known) == (4, "serial:COM3", None)


def test_captures_from_before_boards_had_numbers_keep_all_and_go_on(tmp_path: Path) -> None:
    path = tmp_path / "s"
    old_store(path, 7)
    with create_engine(f"sqlite:///{path}").begin() as connection:
        connection.execute(text("INSERT INTO captures VALUES (4, 'serial:COM3', 17, 9, 120)"))
        for session in (1, 1, 3):
            connection.execute(
                text("INSERT INTO chunks VALUES (NULL, 4, :session, 18, 'board', x'0102')"),
                {"session": session},
            )
    with Store.open(path) as store:
        (row,) = store.captures()
        assert row.known == KnownEdges(9, 120)
        assert (row.key, row.sessions, row.size_bytes, row.stray_bytes) == (None, 3, 6, 0)
        assert [chunk.session for chunk in store.chunks(4)] == [1, 1, 3]
        assert store.last_capture("serial:COM3", identity=77) == row
        assert store.resume_capture(4, after=3).session == 4
        assert store.check() == []


@pytest.mark.parametrize(
    ("capture", "note", "ending"),
    [
        (None, "", Ending.UNKNOWN),
        (4, "", Ending.STOOD_STILL),
        (
            4,
            "the board restarted during the run; its edges end there",
            Ending.BOARD_RESTARTED,
        ),
        (
            4,
            "the recording was stopped before the car stood still",
            Ending.RECORDING_STOPPED,
        ),
    ],
)
def test_a_run_of_an_older_store_keeps_all_and_can_be_noted(
    tmp_path: Path, capture: int | None, note: str, ending: Ending
) -> None:
    path = tmp_path / "s"
    edges = columns.pack(train(3))
    old_store(path, 2)
    with create_engine(f"sqlite:///{path}").begin() as connection:
        connection.execute(text("INSERT INTO captures VALUES (4, 'serial:COM3', 17, NULL, NULL)"))
        connection.execute(
            text(
                "INSERT INTO runs (id, identity, source, started_us, edges, missing, time_s,"
                " direction, number, note, capture_id) VALUES (7, 'x', 'old.csv', 17, 3, 0,"
                " :time_s, :direction, :number, :note, :capture)"
            ),
            edges | {"note": note, "capture": capture},
        )
    with Store.open(path) as store:
        run = store.run("7")
        assert (run.source, run.ending, run.builder_note) == ("old.csv", ending, "")
        assert np.array_equal(run.train.time_s, train(3).time_s)
        store.correct("7", {Field.NOTE: "new string"}, "Ada")
    with Store.open(path) as store:
        assert store.run("7").builder_note == "new string"
        assert store.check() == []


READER = """
import os, resource, sys
from pathlib import Path
from sqlalchemy import create_engine
from unspool.errors import StoreError
from unspool.store import Field, Store
create_engine("sqlite://").connect().close()  # loads what a poorer user may not read
if sys.argv[2] == "full":
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
elif os.getuid() == 0:
    os.setuid(65534)
with Store.open(Path(sys.argv[1])) as store:
    print([row.source for row in store.runs()], len(store.run("1").train))
    try:
        store.correct("1", {Field.NOTE: "new string"}, "Ada")
    except StoreError as error:
        print(error)
"""


@pytest.mark.parametrize(
    ("kind", "says"), [("full", "disk"), ("read-only", "may not be written by this user")]
)
def test_a_store_that_cannot_be_written_is_read_all_the_same(kind: str, says: str) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        with Store.open(folder / "s") as store:
            store.add_import(train(5), CAR, source="kept.csv")
        if kind == "read-only":
            (folder / "s").chmod(0o444)
            folder.chmod(0o555)
        command = [sys.executable, "-c", READER, str(folder / "s"), kind]
        out = subprocess.run(command, capture_output=True, text=True, check=False)
        folder.chmod(0o755)
    assert out.stderr == ""
    listed, refused = out.stdout.splitlines()
    assert listed == "['kept.csv'] 5"
    assert says in refused
