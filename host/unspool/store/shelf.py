"""Shelf: the cars, or the tracks, that the store knows by name, each with its versions.

A version is a sheet: the text of a file, word for word. The sheets of one name are the versions of
one car, whether somebody saved them or a run brought them along. Runs keep the sheet that they ran
with, so no new version changes an old run.
"""

from __future__ import annotations

import time
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Column, Connection, Table, insert, select

from unspool.errors import ChangedMeanwhileError, InputError
from unspool.language import _
from unspool.names import name_key
from unspool.shelved import Chosen, How, Shelved, Version
from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.moments import moment
from unspool.store.opened import Opened
from unspool.store.place import Place
from unspool.store.sheets import sheet_id

_LINES = schema.versions.c
_LINE_COLUMNS, _HOW = dict(_LINES.items()), frozenset(How)


@dataclass(frozen=True)
class Shelf:
    """kind: "car" or "track", for sentences. All methods raise StoreError."""

    kind: str
    place: Place
    _sheets: Table
    _read: Opened
    _write: Opened

    def listed(self) -> list[Shelved]:
        """All of them by name, those that were put away too."""
        with self._read() as connection:
            found = self._all(connection)
        return sorted(found.values(), key=lambda one: name_key(one.name))

    def one(self, name: str) -> Shelved:
        """The one of that name, whatever its case. Raises InputError if there is none."""
        with self._read() as connection:
            return self._one(connection, name)

    def save(self, text: str, name: str, who: str, seen: int | None = None) -> Shelved:
        """Keeps the text of a file as the current version of `name`, which the text says.

        The caller has found the file valid. seen: the revision that the change was made to, 0 for a
        new name, None for any. Raises ChangedMeanwhileError if there is another by now. A text that
        is current already changes nothing.
        """
        with self._write() as connection:
            there = self._all(connection).get(name_key(name))
            self._refuse_older(there, name, seen)
            if there is None or there.away or there.current.text != text:
                sheet = sheet_id(connection, self._sheets, text)
                self._add(connection, sheet, who, How.SAVED)
            return self._one(connection, name)

    def choose(self, name: str, number: int, who: str, seen: int | None = None) -> Shelved:
        """Makes a version the current one again. Raises InputError if there is no such version."""
        with self._read() as connection:
            version = self._one(connection, name).version(number)
        if version is None:
            raise InputError(_("{name} has no version {number}", name=name, number=number))
        return self.save(version.text, name, who, seen)

    def put_away(self, name: str, who: str) -> Shelved:
        """Leaves it out of what is offered. Nothing is deleted; `save` brings it back."""
        with self._write() as connection:
            there = self._one(connection, name)
            if not there.away:
                self._add(connection, there.current.sheet, who, How.AWAY)
            return self._one(connection, name)

    def _refuse_older(self, there: Shelved | None, name: str, seen: int | None) -> None:
        newest = there.revision if there else 0
        if seen is None or seen == newest:
            return
        if seen == 0:
            raise ChangedMeanwhileError(
                _("{name} is there already; open that one, or give another name", name=name)
            )
        raise ChangedMeanwhileError(
            _(
                "{name} was changed by somebody else in the meantime; look at it again first",
                name=name,
            )
        )

    def _one(self, connection: Connection, name: str) -> Shelved:
        there = self._all(connection).get(name_key(name))
        if there is None:
            raise InputError(
                _(
                    "the store {place} has no {kind} {name}",
                    place=self.place,
                    kind=_(self.kind),
                    name=repr(name),
                )
            )
        return there

    @property
    def _column(self) -> Column[int]:
        return _LINES.car_id if self._sheets is schema.cars else _LINES.track_id

    def _add(self, connection: Connection, sheet: int | None, who: str, how: How) -> None:
        line = {self._column.name: sheet, "made_us": time.time_ns() // 1000, "who": who, "how": how}
        connection.execute(insert(schema.versions).values(line))

    def _all(self, connection: Connection) -> dict[str, Shelved]:
        """By the key of the name. Damaged lines and sheets are left out."""
        sheets, column = self._sheets.c, self._column
        rows = connection.execute(
            select(schema.versions, sheets.id.label("sheet"), sheets.name, sheets.text)
            .join(self._sheets, column == sheets.id)
            .order_by(_LINES.id)
        )
        lines: dict[str, list[AnyRow]] = defaultdict(list)
        for row in rows:
            if _is_sound(row) and row.name:
                lines[name_key(row.name)].append(row)
        runs = self._runs(connection)
        return {key: _shelved(some, runs) for key, some in lines.items()}

    def _runs(self, connection: Connection) -> dict[int, tuple[str, ...]]:
        """The ids of the runs that have each sheet."""
        column = schema.runs.c.car_id if self._sheets is schema.cars else schema.runs.c.track_id
        found: dict[int, list[str]] = defaultdict(list)
        for run, sheet in connection.execute(
            select(schema.runs.c.id, column).where(column.isnot(None)).order_by(schema.runs.c.id)
        ):
            found[sheet].append(str(run))
        return {sheet: tuple(ids) for sheet, ids in found.items()}


def _is_sound(row: AnyRow) -> bool:
    texts = isinstance(row.name, str) and isinstance(row.text, str)
    return texts and not damaged(row, _LINE_COLUMNS) and row.how in _HOW


def _shelved(lines: list[AnyRow], runs: dict[int, tuple[str, ...]]) -> Shelved:
    versions: dict[int, Version] = {}
    for row in lines:
        if row.sheet not in versions:
            versions[row.sheet] = _version(row, len(versions) + 1, runs.get(row.sheet, ()))
    saved = [row for row in lines if row.how == How.SAVED]
    current = versions[(saved or lines)[-1].sheet]
    return Shelved(
        name=current.name,
        current=current,
        versions=tuple(versions.values()),
        history=tuple(
            Chosen(moment(row.made_us), row.who, How(row.how), versions[row.sheet].number)
            for row in lines
        ),
        revision=lines[-1].id,
        away=lines[-1].how == How.AWAY,
    )


def _version(row: AnyRow, number: int, runs: tuple[str, ...]) -> Version:
    made_at = moment(row.made_us)
    return Version(number, row.sheet, row.name, row.text, made_at, row.who, How(row.how), runs)
