"""Engines: how a store's database is reached, whichever kind it is.

A transaction for writing has the database to itself: nothing that it looked at changes before it
ends. A transaction for reading sees one moment throughout, whatever others write meanwhile.
"""

from __future__ import annotations

from sqlalchemy import Engine

from unspool.store.database import open_database
from unspool.store.place import Place, Server
from unspool.store.server import open_server


def open_place(place: Place, busy_s: float, *, lasting: bool = True) -> Engine:
    """busy_s: how long a writer waits for another. lasting: a power cut undoes no commit."""
    if isinstance(place, Server):
        return open_server(place, busy_s, lasting=lasting)
    return open_database(place, busy_s, synchronous="FULL" if lasting else "NORMAL")


def reading(engine: Engine) -> Engine:
    if engine.dialect.name == "sqlite":
        return engine
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def writing(engine: Engine) -> Engine:
    return engine.execution_options(unspool_writes=True)
