"""Results that are kept beside the runs, so that nobody computes them twice.

They are no truth: what is missing or damaged is computed again. So writing them waits for nobody,
and needs no sync: after a power cut some are missing, and nothing else is.
https://www.sqlite.org/pragma.html#pragma_synchronous
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from contextlib import suppress

from sqlalchemy import Connection, delete, func, insert, select

from unspool.errors import StoreError
from unspool.store import lines, schema
from unspool.store.database_errors import as_store_error
from unspool.store.engines import open_place, writing
from unspool.store.lines import Line
from unspool.store.place import Place

MOST_A_RUN = 8  # such as with its own car and another one, and calibrations of which it is first
MOST = 2000  # in all, the newest; some 40 kB each, and a calibration 200 kB
WAIT_S = 0.25  # for a store that another program writes
PAUSE_S = 30.0  # until the next try after one that failed

_KEPT = schema.kept.c


def read(connection: Connection, run_id: str, key: str, code: str) -> bytes | None:
    found = select(_KEPT.data).where(
        _KEPT.run_id == int(run_id), _KEPT.key == key, _KEPT.code == code
    )
    data = connection.execute(found).scalar()
    return data if isinstance(data, bytes) else None


class Keeper:
    """Writes results to the store at `place`, over a connection of its own."""

    def __init__(self, place: Place) -> None:
        self._place = place
        self._engine = open_place(place, WAIT_S, lasting=False)
        self._writing = writing(self._engine)
        self._next_try_s = 0.0

    def keep(self, run_id: str, key: str, code: str, data: bytes) -> None:
        """Does nothing if the store cannot be written now."""
        self._try_to(lambda connection: _write(connection, int(run_id), key, code, data))

    def keep_lines(self, kept: Sequence[Line]) -> None:
        """Does nothing if the store cannot be written now."""
        self._try_to(lambda connection: lines.write(connection, kept))

    def _try_to(self, write: Callable[[Connection], None]) -> None:
        if time.monotonic() < self._next_try_s:
            return
        self._next_try_s = time.monotonic() + PAUSE_S
        with suppress(StoreError), as_store_error(self._place), self._writing.begin() as connection:
            write(connection)
            self._next_try_s = 0.0

    def close(self) -> None:
        self._engine.dispose()


def _write(connection: Connection, run: int, key: str, code: str, data: bytes) -> None:
    """Results of other code go, and all but the newest of this run and of all runs."""
    connection.execute(delete(schema.kept).where(_KEPT.code != code))
    connection.execute(delete(schema.kept).where(_KEPT.run_id == run, _KEPT.key == key))
    row = {"run_id": run, "key": key, "code": code, "data": data}
    connection.execute(insert(schema.kept).values(row))
    newest = select(_KEPT.id).where(_KEPT.run_id == run).order_by(_KEPT.id.desc()).limit(MOST_A_RUN)
    old = delete(schema.kept).where(_KEPT.run_id == run, _KEPT.id.not_in(newest))
    connection.execute(old)
    last = select(func.max(_KEPT.id)).scalar_subquery()
    connection.execute(delete(schema.kept).where(_KEPT.id <= last - MOST))
