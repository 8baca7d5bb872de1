"""Runs: a run is the same in both stores if its identity is, read with the target's captures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update

from unspool.errors import StoreError
from unspool.store import columns, schema
from unspool.store.carried import CAPTURE
from unspool.store.cells import AnyRow, damaged
from unspool.store.copying.copied import Copied
from unspool.store.copying.numbers import Numbers
from unspool.store.copying.sheets import Sheets

_RUNS = schema.runs.c
_COLUMNS = dict(_RUNS.items())
# What a recorder finds again with each reading of a capture, in a run that grows.
_GROWS = (
    *("edges", "missing", "lost_before", "ending", "time_s", "direction", "number"),
    *("wound_turns", "wound_steps", "clock_ppm", "clock_sd_ppm"),
)


@dataclass(frozen=True)
class Ids:
    """The target's ids by the source's."""

    sheets: Sheets
    captures: dict[int, int]


def copy_runs(
    here: Connection, there: Connection, some: Sequence[int], ids: Ids, did: Copied
) -> None:
    """some: ids of runs of the source. What was said of them is copied then, by histories.py."""
    rows = []
    for row in here.execute(select(schema.runs).where(_RUNS.id.in_(some)).order_by(_RUNS.id)):
        if damaged(row, _COLUMNS):
            did.damaged += 1
        else:
            rows.append((row, _moved(row, ids)))
    known, numbers = _known(there, [cells for _, cells in rows]), Numbers(there, schema.runs)
    for row, cells in rows:
        other = known.get(cells["identity"]) or _same_edges(there, row)
        did.runs[str(row.id)] = str(_take(there, cells, other, numbers, did))
    numbers.keep()


def _moved(row: AnyRow, ids: Ids) -> dict[str, Any]:
    """The cells with the target's ids. A capture that is damaged is none."""
    cells = dict(row._mapping)
    cells["car_id"] = ids.sheets.cars.get(row.car_id)
    cells["track_id"] = ids.sheets.tracks.get(row.track_id)
    capture = ids.captures.get(row.capture_id)
    cells["capture_id"] = capture
    begins = f"capture:{row.capture_id}:"
    if capture is not None and row.identity.startswith(begins):
        cells["identity"] = f"capture:{capture}:{row.identity.removeprefix(begins)}"
        if row.source == f"{CAPTURE}{row.capture_id}":
            cells["source"] = f"{CAPTURE}{capture}"
    return cells


def _known(there: Connection, new: list[dict[str, Any]]) -> dict[str, AnyRow]:
    wanted = [cells["identity"] for cells in new]
    rows = there.execute(select(_RUNS.id, _RUNS.identity, _RUNS.edges).where(_identity(wanted)))
    return {row.identity: row for row in rows}


def _identity(wanted: list[str]) -> Any:
    return _RUNS.identity.in_(wanted)


def _same_edges(there: Connection, row: AnyRow) -> AnyRow | None:
    """A run that came another way, such as in a bundle: it began when this one did, alike."""
    for other in there.execute(select(schema.runs).where(_RUNS.started_us == row.started_us)):
        if _first(other) == _first(row) is not None:
            return other
    return None


def _first(row: AnyRow) -> tuple[float, int] | None:
    """Time and number of the first edge; None if there is none, or it is damaged."""
    try:
        train = columns.unpack(row.time_s, row.direction, row.number)
    except StoreError:
        return None
    return (float(train.time_s[0]), int(train.number[0])) if len(train) else None


def _take(
    there: Connection, cells: dict[str, Any], other: AnyRow | None, numbers: Numbers, did: Copied
) -> int:
    if other is None:
        number = numbers(cells["id"])
        there.execute(insert(schema.runs).values(cells | {"id": number}))
        did.new_runs += 1
        return number
    if cells["capture_id"] is not None and cells["edges"] > other.edges:
        grown = {name: cells[name] for name in _GROWS}
        there.execute(update(schema.runs).where(_RUNS.id == other.id).values(grown))
        did.grown_runs += 1
    return int(other.id)
