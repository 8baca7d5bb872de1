"""The same rows by the drivers' own means: what `store copy` is held against.

Nothing is looked at: which rows the target has, which numbers are free, what is damaged.
"""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path
from typing import Any

import psycopg

from store.filled import TRUTH
from unspool.store import Server


def by_copy(source: Path, target: Server) -> float:
    """From a file into a server's tables, by SELECT and COPY. Rows a second."""
    with sqlite3.connect(source) as here, _direct(target) as there, there.cursor() as cursor:
        here.text_factory = lambda raw: raw.decode().replace("\0", "")  # a server keeps no NUL
        cursor.execute("SET session_replication_role = replica")  # looks at no foreign key
        began, count = time.perf_counter(), 0
        for table in TRUTH:
            names = _names(table)
            with cursor.copy(f"COPY {table.name} ({names}) FROM STDIN") as written:
                for row in here.execute(f"SELECT {names} FROM {table.name}"):
                    written.write_row(row)
                    count += 1
        there.commit()
        return count / (time.perf_counter() - began)


def by_insert(source: Server, target: Path) -> float:
    """From a server into a file that has the tables, by SELECT and INSERT. Rows a second."""
    with _direct(source) as there, sqlite3.connect(target) as here:
        began, count = time.perf_counter(), 0
        for table in TRUTH:
            names, marks = _names(table), ", ".join("?" * len(table.columns))
            found = there.execute(f"SELECT {names} FROM {table.name}").fetchall()
            here.executemany(f"INSERT INTO {table.name} ({names}) VALUES ({marks})", found)
            count += len(found)
        here.commit()
        return count / (time.perf_counter() - began)


def _direct(place: Server) -> psycopg.Connection[tuple[Any, ...]]:
    return psycopg.connect(place.url.replace("+psycopg", ""))


def _names(table: Any) -> str:
    return ", ".join(f'"{column.name}"' for column in table.columns)
