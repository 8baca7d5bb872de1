"""What is recorded while the power may fail: a child records it, the test knows what it must be."""

from __future__ import annotations

import os
import random
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from sqlalchemy import create_engine, event, text
from sqlalchemy.pool import Pool

from store.directly import old_store
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import CaptureLog, FoundRun, Store

CAPTURE = 1
SAVED_EACH = 10  # chunks
GROWTH = 3  # saves of one run, each time with more edges
OLD_CAPTURES = 500
LARGEST_CHUNK = 50_000
CAR = 'name = "Sandpiper"\n'


def chunk(number: int) -> bytes:
    """Bytes of a capture's chunk, the first is 1; some need many pages."""
    rng = random.Random(number)
    return rng.randbytes(rng.choice((1, 300, *(rng.randint(1, LARGEST_CHUNK) for _ in range(2)))))


def run_at(number: int) -> FoundRun:
    """The run as it is saved after this chunk: a third, two thirds or all of its edges."""
    saves = number // SAVED_EACH - 1
    first, edges = 10_000 * (saves // GROWTH), 200 * (saves % GROWTH + 1)
    train = PulseTrain(
        first + 0.01 * np.arange(edges),
        np.ones(edges, np.int8),
        np.arange(first, first + edges, dtype=np.int64),
    )
    return FoundRun(train, 7, 250_000.0, datetime(2024, 5, 4, tzinfo=UTC), None, None)


def record(path: str, begin: int, end: int, *, closes: bool, synchronous: str) -> None:
    """Records chunks begin to end - 1; says what the store acknowledged, a line each."""
    if synchronous:
        event.listen(Pool, "checkout", lambda c, *_: _weaken(c, synchronous))
    store = Store.open(Path(path))
    log = store.resume_capture(CAPTURE) if store.captures() else store.begin_capture("virtual:")
    for number in range(begin, end):
        _step(store, log, number)
    if not closes:
        os._exit(0)
    store.close()


def upgrade(path: str) -> None:
    """Makes a store of the first schema, sees it on disk, says so, and opens it as it is now."""
    old_store(Path(path), 1)
    with create_engine(f"sqlite:///{path}").begin() as connection:
        for number in range(1, OLD_CAPTURES + 1):
            row = {"id": number, "link": f"serial:COM{number}", "at": number}
            connection.execute(text("INSERT INTO captures VALUES (:id, :link, :at)"), row)
    folder = os.open(Path(path).parent, os.O_RDONLY)
    os.fsync(folder)
    print("old", flush=True)
    Store.open(Path(path)).close()


def _step(store: Store, log: CaptureLog, number: int) -> None:
    log.append(float(number), chunk(number))
    print(f"chunk {number}", flush=True)
    if number % SAVED_EACH == 0:
        run_id = store.save_found(log.capture, run_at(number), CAR)
        print(f"run {run_id} {len(run_at(number).train)}", flush=True)


def _weaken(connection: sqlite3.Connection, synchronous: str) -> None:
    connection.execute(f"PRAGMA synchronous = {synchronous}")
