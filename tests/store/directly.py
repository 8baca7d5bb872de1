"""Past the store: SQL by another program, and old stores as they were made then."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import psycopg
import pytest

from unspool.store import Place, Server

# For what only a file can have: cells of another type, bytes to look at.
of_a_file = pytest.mark.parametrize("place", ["file"], indirect=True)
Refused = (sqlite3.IntegrityError, psycopg.IntegrityError)
OLD = Path(__file__).with_name("old")


def say(place: Place, statement: str) -> None:
    """In a transaction of its own. Raises the driver's errors."""
    if isinstance(place, Server):
        with psycopg.connect(place.url.replace("+psycopg", "")) as server:
            server.execute(statement.encode())
        return
    with closing(sqlite3.connect(place)) as file, file:
        file.execute(statement)


def old_store(path: Path, step: int, *statements: str) -> Path:
    """A file with the tables of that step, and what the statements put into it.

    The tables are as the unspool of that time made them.
    """
    with closing(sqlite3.connect(path)) as file, file:
        file.executescript((OLD / f"{step:02}.sql").read_text())
        for statement in statements:
            file.execute(statement)
    return path
