"""A season of a league: 500 cars, 20,000 attempts, 16 million edges, all invented.

`python -m bench.season ADDRESS` fills a store with it, and goes on if the store has some already.
The edges are those of a few runs of the truth generator, each time a little faster or slower.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import numpy as np
from sqlalchemy import insert

from unspool.car import load_car
from unspool.kept.lines import Lines
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Store, place_of, schema
from unspool.store.columns import import_identity
from unspool.store.runs import edge_cells, sheet_cells
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.truth import USUAL, run

CARS, ATTEMPTS, EDGES = 500, 20_000, 800
KINDS, BATCH = 12, 250
FIRST = datetime(2026, 3, 2, 9, tzinfo=UTC)


def fill(store: Store, cars: int = CARS, attempts: int = ATTEMPTS, edges: int = EDGES) -> None:
    """Adds the attempts that the store does not have yet."""
    kinds, there = _kinds(edges), len(store.runs())
    texts = [SANDPIPER.read_text("utf-8").replace("Sandpiper", f"Car {k:03}") for k in range(cars)]
    for begin in range(there, attempts, BATCH):
        with store._write() as connection:
            sheets = [sheet_cells(connection, text, None, "") for text in texts]
            rows = [
                _row(number, kinds, texts[number % cars]) | sheets[number % cars]
                for number in range(begin, min(begin + BATCH, attempts))
            ]
            connection.execute(insert(schema.runs), rows)


def keep_lines(store: Store) -> None:
    """The Logbook's lines of all attempts: those of the few kinds, as if each had been read."""
    lines, rows = Lines(store), store.runs()
    made = [lines.make(row) for row in rows[:KINDS]]
    store.keep_lines(
        [replace(made[i % KINDS], run_id=row.id, basis=row.basis) for i, row in enumerate(rows)]
    )


def _kinds(edges: int) -> list[PulseTrain]:
    car = load_car(SANDPIPER)
    return [_long(run(car, imperfections=USUAL, seed=k).train, edges) for k in range(KINDS)]


def _long(train: PulseTrain, edges: int) -> PulseTrain:
    """With so many edges: edges between those that it has, or only the first ones."""
    count = len(train)
    at = np.linspace(0, count - 1, edges)
    times = np.interp(at, np.arange(count), train.time_s)
    return PulseTrain(times, np.ones(edges, np.int8), np.arange(edges, dtype=np.int64))


def _row(number: int, kinds: list[PulseTrain], car: str) -> dict[str, object]:
    rng = Random(number)
    kind = kinds[rng.randrange(len(kinds))]
    train = PulseTrain(kind.time_s * rng.uniform(0.9, 1.1), kind.direction, kind.number)
    at = FIRST + timedelta(minutes=number)
    return {
        "identity": import_identity(train, car, None),
        "source": f"season {number}",
        "started_us": int(at.timestamp() * 1e6),
        "utc_offset_s": 3600,
        "taped_m": round(rng.uniform(3.0, 15.0), 2),
        "tags": '["final"]' if number % 40 == 0 else "[]",
        **edge_cells(train),
    }


def _progress(store: Store) -> Iterator[str]:
    rows = store.runs()
    yield f"{len(rows)} attempts with {sum(row.edges for row in rows)} edges"


if __name__ == "__main__":
    with Store.open(place_of(sys.argv[1])) as opened:
        fill(opened, *map(int, sys.argv[2:]))
        print(*_progress(opened))
