"""Whether a row's cells are what the tables say. SQLite keeps any value in any column.

A disk that errs inside a page, or another program, leaves such cells behind.
"""

from __future__ import annotations

from math import isfinite
from typing import Any

from sqlalchemy import Column, Float, Integer, LargeBinary, Row, Text

from unspool.errors import StoreError
from unspool.store import schema

# Microseconds from 1970 to the year 9999, the last that a date can hold.
LATEST_US = 253_402_300_799_000_000
AnyRow = Row[*tuple[Any, ...]]
_TYPES: dict[type, tuple[type, ...]] = {
    Integer: (int,),
    Text: (str,),
    LargeBinary: (bytes,),
    Float: (float, int),
}
_LABELS = {
    "car": schema.cars.c.name,
    "track": schema.tracks.c.name,
    "car_text": schema.cars.c.text,
    "track_text": schema.tracks.c.text,
}


def text_or_bytes(raw: bytes) -> str | bytes:
    """A cell of text; bytes that are no UTF-8 stay bytes, which `damaged` then names."""
    try:
        return raw.decode()
    except UnicodeDecodeError:
        return raw


def damaged(row: AnyRow, columns: dict[str, Column[Any]]) -> list[str]:
    """Names of the columns of `row`, which `columns` or joined sheets describe, that are wrong."""
    known = {**columns, **_LABELS}
    return [
        name
        for name, value in row._mapping.items()
        if name in known and not _fits(value, known[name], joined=name in _LABELS)
    ]


def require_sound(row: AnyRow, columns: dict[str, Column[Any]], what: str) -> None:
    """Raises StoreError that names the damaged cells of `what`."""
    if bad := damaged(row, columns):
        raise unreadable(what, bad)


def unreadable(what: str, names: list[str]) -> StoreError:
    return StoreError(
        f"{what} is damaged in the store ({', '.join(names)}); the others can still be read"
    )


def _fits(value: object, column: Column[Any], *, joined: bool) -> bool:
    if value is None:
        return joined or bool(column.nullable)
    if not isinstance(value, _TYPES[type(column.type)]):
        return False
    if column.name.endswith("_us"):
        return isinstance(value, int) and 0 <= value <= LATEST_US
    return not isinstance(value, float) or isfinite(value)
