"""Ids that copied rows get: the source's own, except if the target has given such a one already.

An id that is spoken must never mean two things, so one that was given and deleted is not free.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, Table, func, select, text


class Numbers:
    """Those of one table, inside one transaction for writing; call `keep` before it ends."""

    def __init__(self, connection: Connection, table: Table) -> None:
        self._connection, self._table = connection, table
        self._last = last_given(connection, table)

    def __call__(self, wanted: int) -> int:
        """wanted: the source's id, in ascending order. It is free if it is larger than all."""
        self._last = wanted if wanted > self._last else self._last + 1
        return self._last

    def in_order(self, wanted: Sequence[int], floor: int) -> list[int]:
        """For rows whose order must stay: their own ids, or new ones for all of them.

        floor: what was given last when the whole copy began. Of what it gives since then, not all
        comes in the order of the ids.
        """
        if all(map(floor.__lt__, wanted)) and not self._taken(wanted):
            self._last = max(self._last, *wanted)
            return list(wanted)
        return [self(0) for _ in wanted]

    def _taken(self, wanted: Sequence[int]) -> bool:
        ids = self._table.c.id
        return self._connection.execute(select(ids).where(ids.in_(wanted))).first() is not None

    def keep(self) -> None:
        """What is given next is larger. SQLite sees to that by itself."""
        if self._connection.dialect.name != "sqlite" and self._last:
            move = text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)")
            self._connection.execute(move, {"name": self._table.name, "last": self._last})


def last_given(connection: Connection, table: Table) -> int:
    """The largest id that the table ever gave, as far as the database remembers; 0 for none."""
    newest = int(connection.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one())
    if connection.dialect.name == "sqlite":
        if not table.dialect_options["sqlite"]["autoincrement"]:
            return newest
        remembered = text("SELECT seq FROM sqlite_sequence WHERE name = :name")
    else:
        remembered = text("SELECT pg_sequence_last_value(pg_get_serial_sequence(:name, 'id'))")
    return max(newest, int(connection.execute(remembered, {"name": table.name}).scalar() or 0))
