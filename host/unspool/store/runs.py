"""Runs, and the cars and tracks that they ran with, word for word as they were then."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Label, Select, Table, func, insert, select, update

from unspool.reading.edges.edge_file_keys import MOST_LOST
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import columns, schema
from unspool.store.attempts import numbered
from unspool.store.basis import basis_columns, basis_of, stored_bytes
from unspool.store.cells import AnyRow, damaged, require_sound, unreadable
from unspool.store.moments import microseconds, moment, utc_offset_s
from unspool.store.place import Place
from unspool.store.rows import (
    Attempt,
    ClockRate,
    FoundRun,
    Imported,
    RunRow,
    StoredRun,
    Winding,
)
from unspool.store.run_numbers import no_run, number_of
from unspool.store.said_cells import known_tags, said_turns, winding_cells, wound
from unspool.store.sheets import run_sheet_id
from unspool.turns import LEAST_TURNS, TurnsFrom

_RUNS = schema.runs.c
_COLUMNS = dict(_RUNS.items())
_WITH_SHEETS = schema.runs.outerjoin(schema.cars).outerjoin(schema.tracks)


def add_import(
    connection: Connection,
    train: PulseTrain,
    car_text: str,
    track_text: str | None,
    source: str,
    winding: Winding | None,
    who: str,
) -> Imported:
    """The same import again adds nothing."""
    identity = columns.import_identity(train, car_text, track_text)
    there = _id_of(connection, identity)
    if there is not None:
        return Imported(str(there), already_there=True)
    values = {
        "identity": identity,
        "source": source,
        **_moment(time.time_ns() // 1000),
        **edge_cells(train),
        **sheet_cells(connection, car_text, track_text, who),
        **winding_cells(winding),
    }
    return Imported(_insert(connection, schema.runs, values), already_there=False)


def save_found(
    connection: Connection,
    capture: int,
    found: FoundRun,
    car_text: str | None,
    track_text: str | None,
) -> str:
    first = (int(found.train.number[0]), float(found.train.time_s[0]))
    identity = f"capture:{capture}:{found.boot}:{first}"
    values = {
        **edge_cells(found.train),
        **winding_cells(found.winding),
        "clock_ppm": found.clock.ppm if found.clock else None,
        "clock_sd_ppm": found.clock.sd_ppm if found.clock else None,
    }
    there = _id_of(connection, identity)
    if there is not None:
        connection.execute(update(schema.runs).where(_RUNS.id == there).values(values))
        return str(there)
    values |= {
        "identity": identity,
        "source": f"capture {capture}",
        "capture_id": capture,
        **_moment(microseconds(found.started_at)),
        "tick_hz": found.tick_hz,
        "boot": found.boot,
        **sheet_cells(connection, car_text, track_text, ""),
    }
    return _insert(connection, schema.runs, values)


def listed(connection: Connection, newest: int | None = None) -> list[RunRow]:
    """In the order in which the store got them: all, or so many of those that began last."""
    wanted = _lines() if newest is None else _lines().where(_RUNS.id.in_(_newest(newest)))
    rows = connection.execute(wanted).all()
    began = [row.started_us for row in rows if isinstance(row.started_us, int)]
    attempts = numbered(connection, None if newest is None else min(began, default=0))
    return [_row(row, attempts.get(row.id)) for row in rows]


def _newest(count: int) -> Select[tuple[int]]:
    return select(_RUNS.id).order_by(_RUNS.started_us.desc(), _RUNS.id.desc()).limit(count)


def _lines() -> Any:  # a Select with more columns than its type can spell
    return (
        select(
            _RUNS.id,
            _RUNS.started_us,
            _RUNS.source,
            _RUNS.builder_note,
            _RUNS.taped_m,
            _RUNS.timed_s,
            _RUNS.tags,
            _RUNS.discarded,
            *basis_columns(),
            _count_of_corrections(),
            _newest_correction(),
            schema.cars.c.name.label("car"),
            schema.tracks.c.name.label("track"),
        )
        .select_from(_WITH_SHEETS)
        .order_by(_RUNS.id)
    )


def _row(row: AnyRow, attempt: Attempt | None) -> RunRow:
    """A line of the list. A damaged run has one too, which names its damage as the source."""
    if bad := damaged(row, _COLUMNS):
        source = f"damaged in the store ({', '.join(bad)})"
        return RunRow(str(row.id), moment(0), None, None, source, 0, 0, Ending.UNKNOWN)
    return RunRow(
        id=str(row.id),
        started_at=moment(row.started_us),
        car=row.car,
        track=row.track,
        source=row.source,
        edges=row.edges,
        missing=row.missing + row.lost_before,
        ending=_ending(row.ending),
        builder_note=row.builder_note,
        turns_from=_turns_from(row),
        taped_m=row.taped_m,
        discarded=bool(row.discarded),
        corrections=row.corrections,
        tags=known_tags(row.tags) or (),
        timed_s=row.timed_s,
        attempt=attempt,
        revision=row.revision,
        basis=basis_of(row),
    )


def _count_of_corrections() -> Label[int]:
    said = schema.corrections.c
    count = select(func.count()).select_from(schema.corrections).where(said.run_id == _RUNS.id)
    return count.correlate(schema.runs).scalar_subquery().label("corrections")


def _newest_correction() -> Label[int]:
    said = schema.corrections.c
    newest = select(func.coalesce(func.max(said.id), 0)).where(said.run_id == _RUNS.id)
    return newest.correlate(schema.runs).scalar_subquery().label("revision")


def _turns_from(row: AnyRow) -> TurnsFrom:
    if row.said_turns is not None:
        return TurnsFrom.SAID
    turns = row.wound_turns
    return TurnsFrom.COUNTED if turns is not None and turns >= LEAST_TURNS else TurnsFrom.PLANNED


def read(connection: Connection, run_id: str, place: Place) -> StoredRun:
    return _stored(row_of(connection, run_id, place))


def row_of(connection: Connection, run_id: str, place: Place) -> AnyRow:
    """The row of a run, with the texts of its car and track. Raises InputError, StoreError."""
    row = connection.execute(_one_run(number_of(run_id))).first()
    if row is None:
        raise no_run(run_id, place)
    require_sound(row, _COLUMNS, f"run {row.id}")
    return row


def _one_run(number: int) -> Any:  # a Select with more columns than its type can spell
    return (
        select(
            schema.runs,
            schema.cars.c.text.label("car_text"),
            schema.tracks.c.text.label("track_text"),
            *stored_bytes(),
            _newest_correction(),
        )
        .select_from(_WITH_SHEETS)
        .where(_RUNS.id == number)
    )


def _stored(row: AnyRow) -> StoredRun:
    tags = known_tags(row.tags)
    if tags is None:
        raise unreadable(f"run {row.id}", ["tags"])
    train, clock = train_of(row), clock_of(row)
    return StoredRun(
        id=str(row.id),
        started_at=moment(row.started_us),
        source=row.source,
        train=clock.corrected(train) if clock else train,
        car_text=row.car_text,
        track_text=row.track_text,
        winding=wound(row.wound_turns, row.wound_steps),
        clock=clock,
        tick_hz=row.tick_hz,
        builder_note=row.builder_note,
        said_turns=said_turns(row.said_turns),
        weight_g=row.weight_g,
        circumference_mm=row.circumference_mm,
        circumference_sd_mm=row.circumference_sd_mm,
        taped_m=row.taped_m,
        discarded=bool(row.discarded),
        revision=row.revision,
        tags=tags,
        timed_s=row.timed_s,
        basis=basis_of(row),
    )


def train_of(row: AnyRow) -> PulseTrain:
    """The edges as they were recorded. Raises StoreError if they are damaged."""
    if not 0 <= row.lost_before <= MOST_LOST:
        raise unreadable(f"run {row.id}", ["lost_before"])
    edges = columns.unpack(row.time_s, row.direction, row.number)
    return replace(edges, lost_before=row.lost_before, ending=_ending(row.ending))


def clock_of(row: AnyRow) -> ClockRate | None:
    return None if row.clock_ppm is None else ClockRate(row.clock_ppm, row.clock_sd_ppm)


def _ending(text: str) -> Ending:
    """UNKNOWN for what no version of unspool wrote."""
    try:
        return Ending(text)
    except ValueError:
        return Ending.UNKNOWN


def _id_of(connection: Connection, identity: str) -> int | None:
    return connection.execute(select(_RUNS.id).where(_RUNS.identity == identity)).scalar()


def _insert(connection: Connection, table: Table, values: dict[str, Any]) -> str:
    row = insert(table).values(values).returning(table.c.id)
    return str(connection.execute(row).scalar_one())


def edge_cells(train: PulseTrain) -> dict[str, Any]:
    return {
        "edges": len(train),
        "missing": train.missing,
        "lost_before": train.lost_before,
        "ending": train.ending,
        **columns.pack(train),
    }


def _moment(started_us: int) -> dict[str, int]:
    return {"started_us": started_us, "utc_offset_s": utc_offset_s(started_us)}


def sheet_cells(
    connection: Connection, car_text: str | None, track_text: str | None, who: str
) -> dict[str, int | None]:
    return {
        "car_id": run_sheet_id(connection, schema.cars, car_text, who),
        "track_id": run_sheet_id(connection, schema.tracks, track_text, who),
    }
