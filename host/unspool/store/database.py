"""Connections to the store's SQLite file: to write it, or only to read it.

A file in WAL mode needs a small file beside it even to be read. If the disk is full or may not be
written, SQLite can read without one, as long as nothing else writes: `immutable` promises that.
https://www.sqlite.org/wal.html#read_only_databases
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL

from unspool.store.cells import text_or_bytes

LOOK_S = 0.01
READ_ONLY_BUSY_S = 0.5  # after a wait for the lock in vain, another one would not help


def open_database(path: Path, busy_s: float, synchronous: str = "FULL") -> Engine:
    """To read and to write; the file is made if there is none.

    synchronous: NORMAL for what may be lost in a power cut, see store.py.
    """
    engine = _engine(URL.create("sqlite", database=str(path)), busy_s)

    @event.listens_for(engine, "connect")
    def set_up(connection: sqlite3.Connection, _record: object) -> None:
        _use_wal(connection, busy_s)
        connection.execute(f"PRAGMA synchronous = {synchronous}")

    return engine


def _use_wal(connection: sqlite3.Connection, busy_s: float) -> None:
    """SQLite itself does not wait if another program switches a new file at the same moment."""
    give_up = time.monotonic() + busy_s
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() >= give_up:
                raise
        time.sleep(LOOK_S)


def read_only_databases(path: Path) -> Iterator[Engine]:
    """Ways to read a file that cannot be written, the better one first. None for no file."""
    if not path.is_file() or not path.stat().st_size:
        return
    yield _engine(_url(path, "mode=ro"), READ_ONLY_BUSY_S)
    log = path.with_name(f"{path.name}-wal")
    if not log.is_file() or not log.stat().st_size:  # else the newest runs would be left out
        yield _engine(_url(path, "immutable=1"), READ_ONLY_BUSY_S)


def give_back_space(engine: Engine) -> None:
    """Makes the file as small as what is in it. A program that writes meanwhile waits.

    A server does so by itself.
    """
    if engine.dialect.name != "sqlite":
        return
    with engine.connect() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None  # the pool has just given it
        driver.execute("VACUUM")


def _url(path: Path, option: str) -> URL:
    name = f"file:{quote(str(path.absolute()))}?{option}"
    return URL.create("sqlite", database=name, query={"uri": "true"})


def _engine(url: URL, busy_s: float) -> Engine:
    engine = create_engine(url, connect_args={"timeout": busy_s, "check_same_thread": False})

    @event.listens_for(engine, "connect")
    def set_up(connection: sqlite3.Connection, _record: object) -> None:
        # the driver's own BEGIN comes too late for schema changes and takes no write lock
        connection.isolation_level = None
        connection.text_factory = text_or_bytes
        connection.execute("PRAGMA foreign_keys = ON")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("unspool_writes", False)
        # taking the write lock at once lets the busy timeout work; a reader that turns writer
        # fails at once instead
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine
