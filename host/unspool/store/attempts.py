"""Attempts: each run is counted among those of its car on its day, on the clock of that place.

The day is local to the machine that recorded the run. A discarded run keeps its number. A run whose
car is corrected counts among the attempts of that car.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import Connection, Select, select

from unspool.names import name_key
from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.moments import local_moment
from unspool.store.rows import Attempt

_RUNS = schema.runs.c
_COLUMNS = {name: _RUNS[name] for name in ("started_us", "utc_offset_s")}
DAY_US = 86_400 * 1_000_000


def numbered(connection: Connection, since_us: int | None = None) -> dict[int, Attempt]:
    """All attempts, by the number of the run. Those with a damaged moment are left out.

    since_us: earlier ones may be left out, too.
    """
    lines = _lines()
    if since_us is not None:  # with all of its day, wherever its clock was
        lines = lines.where(_RUNS.started_us > since_us - 2 * DAY_US)
    return _numbers(connection.execute(lines))


def attempt(connection: Connection, number: int) -> Attempt | None:
    """The attempt of one run; None if there is no such run, or its moment is damaged."""
    began = connection.execute(select(_RUNS.started_us).where(_RUNS.id == number)).scalar()
    if not isinstance(began, int):
        return None
    near = _RUNS.started_us.between(began - 2 * DAY_US, began + 2 * DAY_US)
    return _numbers(connection.execute(_lines().where(near))).get(number)


def _lines() -> Select[Any]:
    return (
        select(_RUNS.id, _RUNS.started_us, _RUNS.utc_offset_s, schema.cars.c.name.label("car"))
        .select_from(schema.runs.outerjoin(schema.cars))
        .order_by(_RUNS.started_us, _RUNS.id)
    )


def _numbers(rows: Iterable[AnyRow]) -> dict[int, Attempt]:
    counts: Counter[tuple[str, date]] = Counter()
    found = {}
    for row in rows:
        if damaged(row, _COLUMNS):
            continue
        day = local_moment(row.started_us, row.utc_offset_s).date()
        key = name_key(row.car or ""), day
        counts[key] += 1
        found[row.id] = Attempt(row.car, day, counts[key])
    return found
