"""Which boards are recorded now, and by which process: what is left was ended by a crash."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import Connection, delete, insert, select

from unspool.store import schema
from unspool.store.cells import damaged
from unspool.store.opened import Opened
from unspool.store.rows import UnderWay

_ROWS = schema.under_way.c
_COLUMNS = dict(_ROWS.items())


@dataclass(frozen=True)
class RecordingsUnderWay:
    """Those of all processes that record into a store, also of those that are gone.

    All methods raise StoreError.
    """

    _read: Opened
    _write: Opened

    def listed(self) -> list[UnderWay]:
        """In the order in which they began. Damaged ones are left out."""
        with self._read() as connection:
            rows = connection.execute(select(schema.under_way).order_by(_ROWS.id)).all()
        return [
            UnderWay(row.board, row.car, row.track, row.host, row.process, row.since_us)
            for row in rows
            if not damaged(row, _COLUMNS)
        ]

    def begin(self, one: UnderWay) -> None:
        """In place of what that computer recorded on this way before."""
        with self._write() as connection:
            _end(connection, one.host, one.board)
            connection.execute(insert(schema.under_way).values(asdict(one)))

    def end(self, host: str, board: str) -> None:
        with self._write() as connection:
            _end(connection, host, board)


def _end(connection: Connection, host: str, board: str) -> None:
    here = (_ROWS.host == host) & (_ROWS.board == board)
    connection.execute(delete(schema.under_way).where(here))
