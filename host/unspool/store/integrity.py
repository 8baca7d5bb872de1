"""What a database finds wrong with itself."""

from __future__ import annotations

from sqlalchemy import Connection, text


def faults_of(connection: Connection) -> list[str]:
    """By SQLite's integrity check and its foreign keys.

    PostgreSQL checks its keys and each page's checksum while it works, and fails by itself.
    """
    if connection.dialect.name != "sqlite":
        return []
    found = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
    dangling = list(connection.execute(text("PRAGMA foreign_key_check")))
    return [line for line in found if line != "ok"] + [str(tuple(row)) for row in dangling]
