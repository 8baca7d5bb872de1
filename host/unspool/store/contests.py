"""Contests: the log of each, which only grows. What it means is the contest package's business."""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, func, insert, select

from unspool.errors import ChangedMeanwhileError, InputError
from unspool.language import _
from unspool.reading.edges.ending import Ending
from unspool.store import schema
from unspool.store.cells import AnyRow, damaged, unreadable
from unspool.store.opened import Opened
from unspool.store.run_numbers import number_of

_EVENTS, _CONTESTS, _RUNS = schema.contest_events.c, schema.contests.c, schema.runs.c
_COLUMNS = dict(_EVENTS.items())


@dataclass(frozen=True)
class Noted:
    """One event of a contest's log. number: counts from 1 in its contest.

    subject: what it is about; `add` keeps two people from changing one subject at once.
    run_id: of an attempt that was recorded, None for other events.
    """

    number: int
    made_us: int
    who: str
    kind: str
    subject: str
    data: Mapping[str, Any]
    run_id: str | None = None


@dataclass(frozen=True)
class Begun:
    """When a recorded run began, and the car that it is of by now.

    ending: None if it is damaged.
    """

    run_id: str
    begun_us: int
    car: str
    ending: Ending | None


@dataclass(frozen=True)
class Contests:
    """The contests of a store. All methods raise StoreError."""

    _read: Opened
    _write: Opened

    def make(self) -> str:
        """A new contest; returns its id."""
        values = {"identity": uuid4().hex, "made_us": time.time_ns() // 1000}
        with self._write() as connection:
            made = insert(schema.contests).values(values).returning(_CONTESTS.id)
            return str(connection.execute(made).scalar_one())

    def listed(self) -> list[str]:
        """The ids, the newest last."""
        with self._read() as connection:
            ids = select(_CONTESTS.id).order_by(_CONTESTS.id)
            return [str(one) for one in connection.execute(ids).scalars()]

    def events(self, contest: str) -> list[Noted]:
        """In the order of their numbers. Raises InputError if there is no such contest."""
        with self._read() as connection:
            number = _known(connection, contest)
            rows = connection.execute(
                select(schema.contest_events)
                .where(_EVENTS.contest_id == number)
                .order_by(_EVENTS.number)
            )
            return [_noted(row, contest) for row in rows]

    def revision(self, contest: str) -> int:
        """The number of the newest event, 0 if there is none. Raises InputError as `events`."""
        with self._read() as connection:
            return _newest(connection, _known(connection, contest))

    def newest(self) -> tuple[int, int]:
        """Another value after any contest got an event, or the store a run."""
        ids = (func.max(_EVENTS.id), func.max(_RUNS.id))
        with self._read() as connection:
            event, run = (connection.execute(select(one)).scalar() or 0 for one in ids)
        return event, run

    def begun(self, from_us: int, to_us: int) -> list[Begun]:
        """The recorded runs that began then, the earliest first."""
        columns = (_RUNS.id, _RUNS.started_us, _RUNS.ending, schema.cars.c.name)
        runs = select(*columns).select_from(schema.runs.join(schema.cars))
        when = (_RUNS.started_us >= from_us) & (_RUNS.started_us < to_us)
        recorded = runs.where(when & _RUNS.capture_id.is_not(None)).order_by(_RUNS.started_us)
        with self._read() as connection:
            return [_begun(row) for row in connection.execute(recorded)]

    def add(
        self,
        contest: str,
        who: str,
        kind: str,
        data: Mapping[str, Any],
        subject: str = "",
        seen: int | None = None,
        run_id: str | None = None,
    ) -> int:
        """Notes an event and returns its number.

        seen: the number of the newest event of that subject that the caller knew, 0 for none, None
        for any. Raises ChangedMeanwhileError if there is a newer one.
        """
        with self._write() as connection:
            of = _known(connection, contest)
            if seen is not None and seen != _newest(connection, of, subject):
                raise ChangedMeanwhileError(
                    _("somebody else noted something here in the meantime; look at it first")
                )
            number = _newest(connection, of) + 1
            values = {
                "contest_id": of,
                "number": number,
                "made_us": time.time_ns() // 1000,
                "who": who,
                "kind": kind,
                "subject": subject,
                "data": json.dumps(data, ensure_ascii=True, allow_nan=False),
                "run_id": None if run_id is None else number_of(run_id),
            }
            connection.execute(insert(schema.contest_events).values(values))
            return number


def _begun(row: AnyRow) -> Begun:
    ending = Ending(row.ending) if row.ending in frozenset(Ending) else None
    return Begun(str(row.id), row.started_us, row.name, ending)


def _known(connection: Connection, contest: str) -> int:
    number = int(contest) if contest.isascii() and contest.isdigit() and len(contest) < 10 else 0
    row = connection.execute(select(_CONTESTS.id).where(_CONTESTS.id == number)).first()
    if row is None:
        raise InputError(_("the store has no contest {contest}", contest=repr(contest[:20])))
    return number


def _newest(connection: Connection, contest: int, subject: str | None = None) -> int:
    query = select(func.max(_EVENTS.number)).where(_EVENTS.contest_id == contest)
    if subject is not None:
        query = query.where(_EVENTS.subject == subject)
    return connection.execute(query).scalar() or 0


def _noted(row: AnyRow, contest: str) -> Noted:
    """Raises StoreError for a damaged row: a result without it could be another one."""
    if bad := damaged(row, _COLUMNS):
        raise unreadable(f"contest {contest}", bad)
    try:
        data = json.loads(row.data)
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, dict):
        raise unreadable(f"contest {contest}", ["data"])
    run_id = None if row.run_id is None else str(row.run_id)
    return Noted(row.number, row.made_us, row.who, row.kind, row.subject, data, run_id)
