"""How long a kept reading takes beside a fresh one, and how much room it needs beside its edges."""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from bench.figures import Figure
from unspool.car import load_car
from unspool.kept import Readings
from unspool.kept.codec import plain
from unspool.runs import stored_run
from unspool.store import Store
from unspool.study.compare import ComparedRun, compare
from unspool.study.measured_run import MeasuredRun
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.truth import USUAL, run

RUNS = 60  # as many as a season's comparison has
EDGE_BYTES = "SELECT avg(length(time_s) + length(direction) + length(number)) FROM runs"


def figures() -> Iterable[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "store"
        with Store.open(path) as store:
            fresh = _compared(store, _add_runs(store))
            again = _compared(store, [row.id for row in store.runs()])
        assert fresh[1] == again[1], "a kept reading differs from a fresh one"
        name = f"kept_comparison_of_{RUNS}_runs"
        yield Figure(name, again[0], "s", "read_anew", fresh[0])
        with sqlite3.connect(path) as direct:
            kept, edges = (
                direct.execute(query).fetchone()[0] / 1e3
                for query in ("SELECT avg(length(data)) FROM kept", EDGE_BYTES)
            )
        yield Figure("kept_reading_size", kept, "kB", "its_edges", edges)


def _add_runs(store: Store) -> list[str]:
    car, text = load_car(SANDPIPER), SANDPIPER.read_text("utf-8")
    trains = (run(car, imperfections=USUAL, seed=seed).train for seed in range(RUNS))
    return [store.add_import(train, text, source="bench").run_id for train in trains]


def _compared(store: Store, ids: list[str]) -> tuple[float, list[bytes]]:
    """Processor seconds of reading and comparing the runs, and what was read of each."""
    measured = [stored_run(store.run(one)) for one in ids]
    return _timed(lambda: _comparison(store, measured))


def _comparison(store: Store, measured: list[MeasuredRun]) -> list[bytes]:
    readings = [Readings(store).reading(one) for one in measured]
    compare([ComparedRun.of(*pair) for pair in zip(measured, readings, strict=True)], "winding")
    return [plain(reading) for reading in readings]


def _timed(work: Callable[[], list[bytes]]) -> tuple[float, list[bytes]]:
    began = time.process_time()
    found = work()
    return time.process_time() - began, found
