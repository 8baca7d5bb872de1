"""Contests: the log of each only grows, so one store's is the beginning of the other's.

If both went on by themselves, the target's stays as it is, and the contest is named.
"""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Connection, insert, select

from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.copying.copied import Copied
from unspool.store.copying.numbers import Numbers, last_given

_OF, _EVENTS = schema.contests.c, schema.contest_events.c
_COLUMNS = dict(_EVENTS.items())
_SAME = ("number", "made_us", "who", "kind", "subject", "data")


def copy_contests(here: Connection, there: Connection, did: Copied) -> None:
    """After the runs: an attempt of a contest names its run."""
    known = {row.identity: row.id for row in there.execute(select(schema.contests))}
    numbers, floor = Numbers(there, schema.contests), last_given(there, schema.contest_events)
    for row in here.execute(select(schema.contests).order_by(_OF.id)):
        if row.identity not in known:
            known[row.identity] = numbers(row.id)
            cells = dict(row._mapping) | {"id": known[row.identity]}
            there.execute(insert(schema.contests).values(cells))
        _copy_events(here, there, row, known[row.identity], floor, did)
    numbers.keep()


def _copy_events(
    here: Connection, there: Connection, contest: AnyRow, number: int, floor: int, did: Copied
) -> None:
    mine = [_moved(row, number, did) for row in _events(here, contest.id, did)]
    there_now = [dict(row._mapping) for row in _events(there, number, Copied())]
    shared = min(len(mine), len(there_now))
    if list(map(_key, mine[:shared])) != list(map(_key, there_now[:shared])):
        did.contests_apart.append(str(contest.id))
        return
    if rest := mine[shared:]:
        ids = Numbers(there, schema.contest_events)
        given = ids.in_order([cells["id"] for cells in rest], floor)
        new = [cells | {"id": id_} for cells, id_ in zip(rest, given, strict=True)]
        there.execute(insert(schema.contest_events), new)
        ids.keep()
        did.events += len(rest)


def _events(connection: Connection, contest: int, did: Copied) -> list[AnyRow]:
    """Up to the first damaged one: what comes after it may rest on it."""
    found = []
    wanted = select(schema.contest_events).where(_EVENTS.contest_id == contest)
    for row in connection.execute(wanted.order_by(_EVENTS.number)):
        if damaged(row, _COLUMNS):
            did.damaged += 1
            break
        found.append(row)
    return found


def _moved(row: AnyRow, contest: int, did: Copied) -> dict[str, Any]:
    cells = dict(row._mapping) | {"contest_id": contest}
    if row.run_id is None:
        return cells
    run = did.runs.get(str(row.run_id))
    cells["run_id"] = None if run is None else int(run)
    data = json.loads(row.data)
    if run is not None and data.get("run") not in (None, run):
        cells["data"] = json.dumps(data | {"run": run}, ensure_ascii=True, allow_nan=False)
    return cells


def _key(cells: dict[str, Any]) -> tuple[object, ...]:
    return tuple(cells[name] for name in _SAME)
