"""A store with everything in it that a store can hold, made from a number."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import numpy as np
from sqlalchemy import select

from store.recorded import chunk
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import (
    BoardCar,
    BoardKey,
    CaptureRow,
    Field,
    FoundRun,
    Place,
    Store,
    StoredRun,
    Winding,
    schema,
)

CARS = [f'name = "{name}"\n' for name in ("Sandpiper", "Dunlin", "Turnstone")]
FLOOR = 'name = "Corridor"\n'
# Results are no truth, and PINs open one store alone: neither is copied.
LEFT = ("kept", "lines", "pins")
TRUTH = [table for table in schema.metadata.sorted_tables if table.name not in LEFT]


def found(at: int, edges: int, boot: int) -> FoundRun:
    train = PulseTrain(
        at + 0.01 * np.arange(edges),
        np.ones(edges, np.int8),
        np.arange(100 * at, 100 * at + edges, dtype=np.int64),
    )
    moment = datetime(2025, 5, 4, tzinfo=UTC) + timedelta(seconds=at, microseconds=boot)
    return FoundRun(train, boot, 250_000.0, moment, Winding(9.0, (3.5, 5.5)), None)


def record(store: Store, seed: int, runs: int = 3) -> list[str]:
    """Two boards at once, each with its capture, then what is said of their runs. Their ids."""
    rng = random.Random(seed)
    links = {board: f"serial:{board}" for board in (10 * seed + 1, 10 * seed + 2)}
    logs = {
        board: store.begin_capture(link, key=BoardKey(board, seed + 1))
        for board, link in links.items()
    }
    ids = []
    for number in range(runs):
        for board, log in logs.items():
            log.append(float(number), chunk(rng.randint(1, 99)), stray_bytes=number)
            run = found(10 * number + 1, rng.randint(3, 200), seed + 1 + board)
            ids.append(store.save_found(log.capture, run, rng.choice(CARS), FLOOR))
            store.remember_car(board, BoardCar("Dunlin", "Corridor"))
    train = found(1, 9 + seed, 1).train
    ids.append(store.add_import(train, CARS[seed % 3], source=f"{seed}.csv").run_id)
    for run_id in ids:
        store.correct(run_id, {Field.CAR: rng.choice(CARS), Field.NOTE: f"n{seed}\0"}, "Ada")
    store.correct(ids[0], {Field.TAGS: ("heat",), Field.TAPED_M: 7.25}, "Ben")
    contest = store.contests.make()
    store.contests.add(contest, "Ada", "team", {"name": f"team {seed}"}, "1")
    store.contests.add(contest, "Ben", "run", {"run": ids[0], "time_s": None}, "2", run_id=ids[0])
    store.cars.save(CARS[seed % 3] + "# new\n", CARS[seed % 3].split('"')[1], "Ada")
    return ids


def rows(place: Place) -> dict[str, list[tuple[object, ...]]]:
    """All that a store holds, cell by cell."""
    with Store.open(place) as store, store._read() as connection:
        return {
            table.name: [
                tuple(r) for r in connection.execute(select(table).order_by(*table.primary_key))
            ]
            for table in TRUTH
        }


def contents(place: Place) -> dict[str, list[object]]:
    """What each run and capture says, without the numbers of this store."""
    with Store.open(place) as store:
        runs = [_said(store, store.run(row.id)) for row in store.runs()]
        captures = [_held(store, row) for row in store.captures()]
    return {"runs": sorted(runs, key=repr), "captures": sorted(captures, key=repr)}


def _said(store: Store, run: StoredRun) -> tuple[object, ...]:
    history = [(c.made_at, c.who, c.field, c.before, c.after) for c in store.history(run.id)]
    edges = (run.train.time_s.tobytes(), run.train.number.tobytes())
    return run.started_at, edges, run.car_text, run.builder_note, run.tags, history


def _held(store: Store, row: CaptureRow) -> tuple[object, ...]:
    chunks = [(c.session, c.arrived_s, c.data) for c in store.chunks(row.id)]
    return row.link, row.started_at, row.key, row.sessions, row.stray_bytes, chunks
