"""Sheets: the files of cars and tracks, word for word, each kept once."""

from __future__ import annotations

import tomllib

from sqlalchemy import Connection, Table, insert, select


def sheet_id(connection: Connection, table: Table, toml: str | None) -> int | None:
    """The id of a car's or track's sheet, however many runs refer to it; None for no sheet."""
    if toml is None:
        return None
    there = connection.execute(select(table.c.id).where(table.c.text == toml)).scalar()
    if there is not None:
        return int(there)
    row = insert(table).values(name=_name(toml), text=toml).returning(table.c.id)
    return int(connection.execute(row).scalar_one())


def _name(toml: str) -> str:
    """The sheet's name; the caller has found the sheet valid before."""
    try:
        return str(tomllib.loads(toml).get("name", ""))
    except tomllib.TOMLDecodeError:
        return ""
