"""Sheets: the files of cars and tracks, word for word, each kept once."""

from __future__ import annotations

import time
import tomllib

from sqlalchemy import Connection, Table, insert, select

from unspool.shelved import How
from unspool.store import schema


def sheet_id(connection: Connection, table: Table, toml: str | None) -> int | None:
    """The id of a car's or track's sheet, however many runs refer to it; None for no sheet."""
    if toml is None:
        return None
    there = connection.execute(select(table.c.id).where(table.c.text == toml)).scalar()
    if there is not None:
        return int(there)
    row = insert(table).values(name=_name(toml), text=toml).returning(table.c.id)
    return int(connection.execute(row).scalar_one())


def run_sheet_id(connection: Connection, table: Table, toml: str | None, who: str) -> int | None:
    """The same for the sheet of a run: a new one is a new version of its car or track."""
    sheet = sheet_id(connection, table, toml)
    column = schema.versions.c.car_id if table is schema.cars else schema.versions.c.track_id
    known = select(schema.versions.c.id).where(column == sheet).limit(1)
    if sheet is not None and connection.execute(known).scalar() is None:
        line = {column.name: sheet, "made_us": time.time_ns() // 1000, "who": who, "how": How.RUN}
        connection.execute(insert(schema.versions).values(line))
    return sheet


def _name(toml: str) -> str:
    """The sheet's name; the caller has found the sheet valid before."""
    try:
        return str(tomllib.loads(toml).get("name", ""))
    except tomllib.TOMLDecodeError:
        return ""
