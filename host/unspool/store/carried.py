"""Runs that go from one store to another, with all that is known of them and their history.

A run is the same in both if it began at the same microsecond with the same edge. An imported one is
known by its edges, its car and its track, too. So a run that comes twice is there once.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from unspool.errors import StoreError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import columns, schema
from unspool.store.cells import unreadable
from unspool.store.corrections import history
from unspool.store.moments import microseconds, moment
from unspool.store.place import Place
from unspool.store.rows import ClockRate, Correction, Field, Imported, Said, Winding
from unspool.store.runs import clock_of, edge_cells, row_of, train_of
from unspool.store.said_cells import COLUMNS, SHEETS, cell_of, said_by, winding_cells, wound

_RUNS = schema.runs.c
CAPTURE, OF_ANOTHER = "capture ", " of another store"


@dataclass(frozen=True)
class Carried:
    """A run as it was recorded, and what was said of it since.

    train: on the board's or the file's clock. tick_hz, boot: None for an imported one. said: what
    holds now, by field. Of cars and tracks the texts stand there, and in the history.
    """

    train: PulseTrain
    source: str
    started_at: datetime
    utc_offset_s: int | None = None
    tick_hz: float | None = None
    boot: int | None = None
    clock: ClockRate | None = None
    winding: Winding | None = None
    said: Mapping[Field, Said] = field(default_factory=dict)
    history: tuple[Correction, ...] = ()

    @property
    def identity(self) -> str:
        """Equal in every store that the run comes to."""
        if self.tick_hz is None:
            car, track = (self._at_first(one) for one in SHEETS)
            track_text = None if track is None else str(track)
            return columns.import_identity(self.train, str(car or ""), track_text)
        digest = hashlib.sha256(str(microseconds(self.started_at)).encode())
        for column in columns.pack_plain(self.train):
            digest.update(column)
        return "carried:" + digest.hexdigest()

    def _at_first(self, which: Field) -> Said:
        """What the field was before anybody said anything."""
        lines = (line.before for line in self.history if line.field is which)
        return next(lines, self.said.get(which))


def carry(connection: Connection, run_id: str, place: Place) -> Carried:
    """Raises InputError if there is no such run, StoreError if it is damaged."""
    row = row_of(connection, run_id, place)
    texts = {Field.CAR: row.car_text, Field.TRACK: row.track_text}
    cells = {one: getattr(row, column.name) for one, column in COLUMNS.items() if one not in texts}
    return Carried(
        train=train_of(row),
        source=row.source,
        started_at=moment(row.started_us),
        utc_offset_s=row.utc_offset_s,
        tick_hz=row.tick_hz,
        boot=row.boot,
        clock=clock_of(row),
        winding=wound(row.wound_turns, row.wound_steps),
        said=texts | {one: _said(one, cell, run_id) for one, cell in cells.items()},
        history=tuple(history(connection, run_id, called="text")),
    )


def _said(which: Field, cell: Any, run_id: str) -> Said:
    try:
        return said_by(which, cell, {})
    except (ValueError, TypeError, RecursionError) as error:
        raise unreadable(f"run {run_id}", [COLUMNS[which].name]) from error


def add(connection: Connection, runs: Sequence[Carried]) -> list[Imported]:
    """Adds those that the store does not have, each with its history."""
    return [_add(connection, run) for run in runs]


def _add(connection: Connection, run: Carried) -> Imported:
    there = _same(connection, run)
    if there is not None:
        return Imported(str(there), already_there=True)
    values = {
        "identity": run.identity,
        "source": _elsewhere(run.source),
        "started_us": microseconds(run.started_at),
        "utc_offset_s": run.utc_offset_s,
        "tick_hz": run.tick_hz,
        "boot": run.boot,
        "clock_ppm": run.clock.ppm if run.clock else None,
        "clock_sd_ppm": run.clock.sd_ppm if run.clock else None,
        **edge_cells(run.train),
        **winding_cells(run.winding),
        **{COLUMNS[one].name: cell_of(connection, one, said, "") for one, said in run.said.items()},
    }
    number = connection.execute(insert(schema.runs).values(values).returning(_RUNS.id)).scalar_one()
    if run.history:
        lines = [_line(connection, number, line) for line in run.history]
        connection.execute(insert(schema.corrections), lines)
    return Imported(str(number), already_there=False)


def _same(connection: Connection, run: Carried) -> int | None:
    there = connection.execute(select(_RUNS.id).where(_RUNS.identity == run.identity)).scalar()
    if there is not None:
        return int(there)
    began = _RUNS.started_us == microseconds(run.started_at)
    for row in connection.execute(select(schema.runs).where(began)):
        try:
            known = columns.unpack(row.time_s, row.direction, row.number)
        except StoreError:
            continue
        if _first(known) == _first(run.train):
            return int(row.id)
    return None


def _first(train: PulseTrain) -> tuple[list[float], list[int]]:
    """Time and number of the first edge; both empty if there is none."""
    return train.time_s[:1].tolist(), train.number[:1].tolist()


def _elsewhere(source: str) -> str:
    """A capture of another store is none of this one."""
    of_capture = source.startswith(CAPTURE) and not source.endswith(OF_ANOTHER)
    return source + OF_ANOTHER if of_capture else source


def _line(connection: Connection, number: int, line: Correction) -> dict[str, Any]:
    before, after = (
        cell_of(connection, line.field, value, line.who) for value in (line.before, line.after)
    )
    return {
        "run_id": number,
        "made_us": microseconds(line.made_at),
        "who": line.who,
        "field": line.field,
        "before": json.dumps(before),
        "after": json.dumps(after),
    }
