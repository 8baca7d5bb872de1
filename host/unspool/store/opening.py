"""OpenStore: the database of a store, opened to be written or only to be read.

Durability of a file. Once a chunk is appended, the board may forget those edges,
so the append must outlive a killed process and a power cut. In WAL mode that takes
`synchronous = FULL`: every commit syncs the log. (`NORMAL` syncs at checkpoints only, and a power
cut could undo what was already acknowledged.)
https://www.sqlite.org/pragma.html#pragma_synchronous

Several programs may use one store at once, two recorders on different boards too. WAL lets readers
and a writer work side by side. Every write is one short transaction, and a writer that finds
another at work waits BUSY_S for its turn. The lock on its port keeps a board from two recorders.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Lock
from typing import Self

from platformdirs import user_data_path
from sqlalchemy import Connection, Engine

from unspool.closing import Closing
from unspool.errors import StoreError
from unspool.language import Phrase
from unspool.store.database import read_only_databases
from unspool.store.database_errors import as_store_error
from unspool.store.engines import open_place, reading, writing
from unspool.store.integrity import faults_of
from unspool.store.migrations import is_current, migrate
from unspool.store.place import Place, Server
from unspool.store.server import add_schema

BUSY_S = 10.0


def default_path() -> Path:
    """Where the store is when nobody says otherwise: the user's own data folder."""
    return user_data_path("unspool", appauthor=False) / "unspool.sqlite"


class OpenStore(Closing):
    """Use `open`. All methods raise StoreError."""

    def __init__(self, place: Place, engine: Engine) -> None:
        self.place = place
        self._engine = engine
        self._unwritable: StoreError | None = None  # why it was opened only to be read
        self._turn = Lock()
        self._reading, self._writing = reading(engine), writing(engine)

    @classmethod
    def open(cls, place: Place | None = None, busy_s: float = BUSY_S) -> Self:
        """Opens the store at `place`, made new or brought up to date if needed.

        A store that is up to date is opened without a lock. If its disk is full or may not be
        written, it can be read all the same, and each write raises StoreError.
        """
        where = default_path() if place is None else place
        if isinstance(where, Server):
            return cls._prepared(where, open_place(where, busy_s))
        _make_folder(where)
        try:
            return cls._prepared(where, open_place(where, busy_s))
        except StoreError as error:
            for engine in read_only_databases(where):
                with suppress(StoreError):
                    store = cls._prepared(where, engine)
                    store._unwritable = error
                    return store
            raise

    @classmethod
    def _prepared(cls, place: Place, engine: Engine) -> Self:
        store = cls(place, engine)
        try:
            with store._read() as connection:
                current = is_current(connection, place)
            if not current:
                with store._write() as connection:
                    migrate(connection, place)
        except BaseException:
            store.close()
            raise
        return store

    def close(self) -> None:
        self._engine.dispose()

    def check(self) -> list[str]:
        """What the database's own checks find wrong; empty when all is well."""
        with self._read() as connection:
            return faults_of(connection)

    def with_schema(self, name: str, statements: str) -> None:
        """Makes a schema of tables that are not the store's, on a server, unless it is there."""
        with self._write() as connection:
            add_schema(connection, name, statements)

    @contextmanager
    def _read(self) -> Iterator[Connection]:
        with as_store_error(self.place), self._reading.begin() as connection:
            yield connection

    @contextmanager
    def _write(self) -> Iterator[Connection]:
        if self._unwritable is not None:
            raise self._unwritable
        # SQLite wakes nobody who waits for its lock; threads would sleep past their turn.
        with as_store_error(self.place), self._turn, self._writing.begin() as connection:
            yield connection


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            Phrase(
                "the folder {folder} for the store cannot be made ({reason}); use --store for"
                " another",
                folder=path.parent,
                reason=error.strerror,
            )
        ) from error
    if path.is_dir():
        raise StoreError(Phrase("{path} is a folder; give a file with --store", path=path))
