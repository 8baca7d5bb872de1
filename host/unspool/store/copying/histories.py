"""What was said of runs. Each history only grows, so one store's is the beginning of the other's.

If both went on by themselves, the target's stays as it is, and the run is named.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, insert, select, update

from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.copying.copied import Copied
from unspool.store.copying.numbers import Numbers
from unspool.store.copying.runs import Ids
from unspool.store.rows import Field
from unspool.store.said_cells import COLUMNS

_OF, _RUNS = schema.corrections.c, schema.runs.c
_COLUMNS = dict(_OF.items())
_SAID = ("made_us", "who", "field", "before", "after")


def copy_histories(
    here: Connection, there: Connection, some: Sequence[int], ids: Ids, floor: int, did: Copied
) -> None:
    """some: ids of runs of the source that were copied. floor: as Numbers.in_order takes it."""
    mine = _lines(here, some, did)
    runs = {run: int(did.runs[str(run)]) for run in some if str(run) in did.runs}
    known = _lines(there, list(runs.values()), Copied())
    numbers = Numbers(there, schema.corrections)
    for run, number in runs.items():
        lines = [_moved(line, number, ids) for line in mine[run]]
        rest = _rest(lines, [dict(line._mapping) for line in known[number]])
        if rest is None:
            did.apart.append(str(run))
        elif rest:
            given = numbers.in_order([line["id"] for line in rest], floor)
            new = [line | {"id": id_} for line, id_ in zip(rest, given, strict=True)]
            there.execute(insert(schema.corrections), new)
            _say(here, there, run, number, ids)
            did.corrections += len(new)
    numbers.keep()


def _lines(connection: Connection, runs: Iterable[int], did: Copied) -> dict[int, list[AnyRow]]:
    found: dict[int, list[AnyRow]] = defaultdict(list)
    rows = select(schema.corrections).where(_OF.run_id.in_(list(runs))).order_by(_OF.id)
    for row in connection.execute(rows):
        if damaged(row, _COLUMNS):
            did.damaged += 1
        else:
            found[row.run_id].append(row)
    return found


def _moved(line: AnyRow, number: int, ids: Ids) -> dict[str, Any]:
    cells = dict(line._mapping) | {"run_id": number}
    sheets = {Field.CAR: ids.sheets.cars, Field.TRACK: ids.sheets.tracks}.get(line.field)
    if sheets is not None:
        for name in ("before", "after"):
            cells[name] = json.dumps(sheets.get(_number(cells[name])))
    return cells


def _number(cell: str) -> int:
    try:
        return int(json.loads(cell))
    except (ValueError, TypeError, RecursionError):
        return 0  # no sheet's id


def _rest(mine: list[dict[str, Any]], known: list[dict[str, Any]]) -> list[dict[str, Any]] | None:
    """What the target's history has not yet; None if it went on by itself."""
    shared = min(len(mine), len(known))
    if list(map(_said, mine[:shared])) != list(map(_said, known[:shared])):
        return None
    return mine[shared:]


def _said(line: dict[str, Any]) -> tuple[object, ...]:
    return tuple(line[name] for name in _SAID)


def _say(here: Connection, there: Connection, run: int, number: int, ids: Ids) -> None:
    """What holds of the run now, by its longer history."""
    held = here.execute(select(*set(COLUMNS.values())).where(_RUNS.id == run)).one()
    said = dict(held._mapping)
    said["car_id"] = ids.sheets.cars.get(said["car_id"])
    said["track_id"] = ids.sheets.tracks.get(said["track_id"])
    there.execute(update(schema.runs).where(_RUNS.id == number).values(said))
