"""Which rows of a store are to be copied: all, or the runs with a tag and what these need."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from unspool.store import schema
from unspool.store.rows import Field, Tags
from unspool.store.said_cells import known_tags

_RUNS, _SAID = schema.runs.c, schema.corrections.c


@dataclass(frozen=True)
class Choice:
    """Ids of the source, the runs in their order."""

    runs: list[int]
    captures: set[int]
    cars: set[int]
    tracks: set[int]


def choose(here: Connection, tag: str | None) -> Choice:
    rows = here.execute(
        select(_RUNS.id, _RUNS.tags, _RUNS.capture_id, _RUNS.car_id, _RUNS.track_id).order_by(
            _RUNS.id
        )
    ).all()
    if tag is None:
        every = [_ids(here, table) for table in (schema.captures, schema.cars, schema.tracks)]
        return Choice([row.id for row in rows], *every)
    rows = [row for row in rows if tag in _tags(row.tags)]
    runs = [row.id for row in rows]
    cars, tracks = (_said_once(here, set(runs), field) for field in (Field.CAR, Field.TRACK))
    return Choice(
        runs,
        {row.capture_id for row in rows},
        cars | {row.car_id for row in rows},
        tracks | {row.track_id for row in rows},
    )


def _tags(cell: object) -> Tags:
    return (known_tags(cell) or ()) if isinstance(cell, str) else ()


def _ids(here: Connection, table: Any) -> set[int]:
    return set(here.execute(select(table.c.id)).scalars())


def _said_once(here: Connection, runs: set[int], field: Field) -> set[int]:
    """Ids of the sheets that the runs' histories name."""
    found = set()
    rows = select(_SAID.run_id, _SAID.before, _SAID.after).where(_SAID.field == field)
    for run, *cells in here.execute(rows):
        if run in runs:
            found |= {number for cell in cells if (number := _number(cell))}
    return found


def _number(cell: str) -> int | None:
    try:
        return int(json.loads(cell))
    except (ValueError, TypeError, RecursionError):
        return None
