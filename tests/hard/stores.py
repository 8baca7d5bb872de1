"""Stores with a damaged cell or damaged bytes: what still reads is what was written."""

from __future__ import annotations

import random
import shlex
import sqlite3
import tempfile
from contextlib import closing, suppress
from functools import cache
from pathlib import Path

from hard.asking import ask
from hard.board_bytes import said
from hard.files import edges
from hard.hard_class import HardClass, Tried
from hard.rule import broken
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

RUNS = ("1", "2", "3")
CELLS = (
    *(
        None,
        "",
        "text",
        0,
        -1,
        2**63 - 1,
        -(2**63),
        1e300,
        float("inf"),
        b"",
        b"\xff\xfe",
        b"x" * 50,
    ),
    *("nan", "[1, 2", "[null]", '["a"]', "\x1b[31m", "x" * 100_000, "unspool = 1\nname = 3", 1.5),
)
BAD_TEXT = "CAST(x'61ff62fe' AS TEXT)"  # bytes that are no UTF-8, in a cell of text
TABLES = ("runs", "runs", "runs", "cars", "tracks", "captures", "chunks", "kept", "corrections")
ASKED = (
    *("runs", "runs --json", "analyse {} --json", "compare 1 2 --json", "calibrate 1 2 --json"),
    *("export {} --csv out.csv", "export {} --csv out.csv", "export {} --csv out.csv"),
    *("correct {}", "correct {} --json", "correct {} --undo", "correct {} --turns 3,5 --json"),
    f"import extra.csv --car {SANDPIPER} --turns 3,5 --note damp",
    f"record --replay more.bin --car {SANDPIPER} --no-page",
)


@cache
def whole() -> tuple[bytes, tuple[str, ...]]:
    """A store with two imported runs and a recorded one, and the edge files of all three."""
    with tempfile.TemporaryDirectory(prefix="hard-") as folder:
        place = Path(folder)
        (place / "board.bin").write_bytes(said())
        for seed in (4, 5):
            (place / "in.csv").write_text(edges(seed))
            _done(f"import in.csv --car {SANDPIPER} --track {CORRIDOR} --store s", place)
        _done(f"record --replay board.bin --car {SANDPIPER} --no-page --store s", place)
        for run in RUNS:
            _done(f"analyse {run} --store s", place)
            _done(f"correct {run} --turns 3,5 --weight-g 655 --store s", place)
            _done(f"export {run} --csv {run}.csv --store s", place)
        with closing(sqlite3.connect(place / "s")) as store:
            store.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        exported = tuple(_rows((place / f"{run}.csv").read_text()) for run in RUNS)
        return (place / "s").read_bytes(), exported


def _rows(text: str) -> str:
    """The edges, without the keys above them, which stand in cells of their own."""
    return "".join(line for line in text.splitlines(True) if not line.startswith("#"))


def _done(line: str, place: Path) -> None:
    done = ask(shlex.split(line), place)
    assert done.status == 0, done.err


def case(rng: random.Random, place: Path) -> Tried:
    store, exported = whole()
    (place / "s").write_bytes(store)
    (place / "extra.csv").write_text(edges(6))
    (place / "more.bin").write_bytes(said(8, 9))
    how = _cell(rng, place / "s") if rng.random() < 0.6 else _bytes(rng, place / "s")
    line = f"{rng.choice(ASKED).format(rng.choice(RUNS))} --store s"
    faults = broken(ask(shlex.split(line), place))
    out = place / "out.csv"
    if out.exists() and "clock" not in how and _rows(out.read_text()) not in exported:
        faults.append("exported edges that no run has")
    return Tried(f"{how}: {line}", faults)


def _cell(rng: random.Random, path: Path) -> str:
    """One cell of one row, as a bad disk sector or another program leaves it."""
    with closing(sqlite3.connect(path, isolation_level=None)) as store:
        for (trigger,) in store.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'"):
            store.execute(f'DROP TRIGGER "{trigger}"')
        table = rng.choice(TABLES)
        column = rng.choice([row[1] for row in store.execute(f"PRAGMA table_info({table})")])
        rows = [row[0] for row in store.execute(f"SELECT id FROM {table}")]
        where, value = rng.choice(rows), rng.choice(CELLS)
        with suppress(sqlite3.Error):  # some are refused by the table itself
            if rng.random() < 0.3:
                store.execute(f"UPDATE {table} SET {column} = {BAD_TEXT} WHERE id = ?", (where,))
                return f"{table}.{column} of {where} = bad text"
            store.execute(f"UPDATE {table} SET {column} = ? WHERE id = ?", (value, where))
    return f"{table}.{column} of {where} = {repr(value)[:30]}"


def _bytes(rng: random.Random, path: Path) -> str:
    data = bytearray(path.read_bytes())
    i = rng.randrange(len(data))
    match rng.randrange(5):
        case 0:
            for i in (rng.randrange(len(data)) for _ in range(rng.choice((1, 5, 50)))):
                data[i] ^= 1 << rng.randrange(8)
        case 1:
            del data[i:]
        case 2:
            page = i // 4096 * 4096
            data[page : page + 4096] = bytes(4096)
        case 3:
            data[i % 100] = rng.randrange(256)
        case _:
            path.with_name("s-wal").write_bytes(rng.randbytes(rng.randrange(1, 9000)))
    path.write_bytes(data)
    return f"bytes damaged near {i}"


CLASSES = (HardClass("stores", "stores with a damaged cell or damaged bytes", 200, 6, case),)
