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
# All that says whether the target has a run.
_NAMED = (_RUNS.id, _RUNS.identity, _RUNS.capture_id, _RUNS.edges)
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
    """some: ids of runs of the source. What was said of them is copied then, by histories.py.

    Edges are read only of runs that the target does not have, or not whole.
    """
    known = _to_copy(here, there, some, ids, did)
    if not known:
        return
    numbers = Numbers(there, schema.runs)
    for row in here.execute(select(schema.runs).where(_RUNS.id.in_(known)).order_by(_RUNS.id)):
        if damaged(row, _COLUMNS):
            did.damaged += 1
            continue
        other = known[row.id] or _same_edges(there, row)
        did.runs[str(row.id)] = str(_take(there, _moved(row, ids), other, numbers, did))
    numbers.keep()


def _to_copy(
    here: Connection, there: Connection, some: Sequence[int], ids: Ids, did: Copied
) -> dict[int, AnyRow | None]:
    """The target's row of each run to copy, by the source's id; None if its identity is new there.

    A run that the target has already goes into `did` at once.
    """
    rows = here.execute(select(*_NAMED).where(_RUNS.id.in_(some)).order_by(_RUNS.id)).all()
    spoilt = {row.id for row in rows if damaged(row, _COLUMNS)}
    named = {row.id: _identity_there(row, ids) for row in rows if row.id not in spoilt}
    known = _known(there, list(named.values()))
    found: dict[int, AnyRow | None] = {}
    for row in rows:
        other = known.get(named.get(row.id, ""))
        if other is None or _grew(row.edges, ids.captures.get(row.capture_id), other):
            found[row.id] = other
        else:
            did.runs[str(row.id)] = str(other.id)
    return found


def _moved(row: AnyRow, ids: Ids) -> dict[str, Any]:
    """The cells with the target's ids. A capture that is damaged is none."""
    cells = dict(row._mapping)
    cells["car_id"] = ids.sheets.cars.get(row.car_id)
    cells["track_id"] = ids.sheets.tracks.get(row.track_id)
    cells["capture_id"] = ids.captures.get(row.capture_id)
    cells["identity"] = _identity_there(row, ids)
    if cells["identity"] != row.identity and row.source == f"{CAPTURE}{row.capture_id}":
        cells["source"] = f"{CAPTURE}{cells['capture_id']}"
    return cells


def _identity_there(row: AnyRow, ids: Ids) -> str:
    capture, begins = ids.captures.get(row.capture_id), f"capture:{row.capture_id}:"
    if capture is None or not row.identity.startswith(begins):
        return str(row.identity)
    return f"capture:{capture}:{row.identity.removeprefix(begins)}"


def _grew(edges: int, capture: int | None, other: AnyRow) -> bool:
    return capture is not None and edges > other.edges


def _known(there: Connection, wanted: list[str]) -> dict[str, AnyRow]:
    rows = there.execute(
        select(_RUNS.id, _RUNS.identity, _RUNS.edges).where(_RUNS.identity.in_(wanted))
    )
    return {row.identity: row for row in rows}


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
    if _grew(cells["edges"], cells["capture_id"], other):
        grown = {name: cells[name] for name in _GROWS}
        there.execute(update(schema.runs).where(_RUNS.id == other.id).values(grown))
        did.grown_runs += 1
    return int(other.id)
