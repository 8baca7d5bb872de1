"""Attempts: each run is counted among those of its car on its day, on the clock of that place.

The day is local to the machine that recorded the run. A discarded run keeps its number. A run whose
car is corrected counts among the attempts of that car.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

from sqlalchemy import Connection, Select, select

from unspool.names import name_key
from unspool.store import schema
from unspool.store.captures import moment
from unspool.store.cells import AnyRow, damaged
from unspool.store.rows import Attempt

_RUNS = schema.runs.c
_COLUMNS = {name: _RUNS[name] for name in ("started_us", "utc_offset_s")}
DAY_US = 86_400 * 1_000_000
LARGEST_OFFSET_S = 86_399  # what a time zone can be apart from UTC


def utc_offset_s(started_us: int) -> int:
    """How far this machine's clock on the wall was ahead of UTC at that moment."""
    return time.localtime(started_us // 1_000_000).tm_gmtoff


def local_moment(started_us: int, offset_s: int | None) -> datetime:
    """The moment on the clock of the place; on this machine's if the place is not known."""
    at = moment(started_us)
    if offset_s is None or abs(offset_s) > LARGEST_OFFSET_S:
        return at.astimezone()
    return at.astimezone(timezone(timedelta(seconds=offset_s)) if offset_s else UTC)


def numbered(connection: Connection) -> dict[int, Attempt]:
    """All attempts, by the number of the run. Those with a damaged moment are left out."""
    return _numbers(connection.execute(_lines()))


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
