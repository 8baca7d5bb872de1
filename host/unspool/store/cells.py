"""Whether a row's cells are what the tables say. SQLite keeps any value in any column.

A disk that errs inside a page, or another program, leaves such cells behind.
"""

from __future__ import annotations

from functools import cache
from math import isfinite
from typing import Any

from sqlalchemy import Column, Float, Integer, LargeBinary, Row, Text

from unspool.errors import StoreError
from unspool.language import _

# Microseconds from 1970 to the year 9999, the last that a date can hold.
LATEST_US = 253_402_300_799_000_000
AnyRow = Row[*tuple[Any, ...]]
_TYPES: dict[type, tuple[type, ...]] = {
    Integer: (int,),
    Text: (str,),
    LargeBinary: (bytes,),
    Float: (float, int),
}
# Texts of joined sheets; null if there is none.
_LABELS = frozenset({"car", "track", "car_text", "track_text"})


def text_or_bytes(raw: bytes) -> str | bytes:
    """A cell of text; bytes that are no UTF-8 stay bytes, which `damaged` then names."""
    try:
        return raw.decode()
    except UnicodeDecodeError:
        return raw


def damaged(row: AnyRow, columns: dict[str, Column[Any]]) -> list[str]:
    """Names of the columns of `row`, which `columns` or joined sheets describe, that are wrong."""
    bad = []
    for name, value in zip(row._fields, row, strict=True):
        if name in _LABELS:
            fits = value is None or isinstance(value, str)
        elif name in columns:
            fits = _fits(value, *_rule(columns[name]))
        else:
            continue
        if not fits:
            bad.append(name)
    return bad


def require_sound(row: AnyRow, columns: dict[str, Column[Any]], what: str) -> None:
    """Raises StoreError that names the damaged cells of `what`."""
    if bad := damaged(row, columns):
        raise unreadable(what, bad)


def unreadable(what: str, names: list[str]) -> StoreError:
    return StoreError(
        _(
            "{what} is damaged in the store ({cells}); the others can still be read",
            what=what,
            cells=", ".join(names),
        )
    )


@cache
def _rule(column: Column[Any]) -> tuple[tuple[type, ...], bool, bool]:
    """The types that its cells may have, if they may be null, and if they are moments."""
    return _TYPES[type(column.type)], bool(column.nullable), column.name.endswith("_us")


def _fits(value: object, types: tuple[type, ...], nullable: bool, is_moment: bool) -> bool:
    if value is None:
        return nullable
    if not isinstance(value, types):
        return False
    if is_moment:
        return isinstance(value, int) and 0 <= value <= LATEST_US
    return not isinstance(value, float) or isfinite(value)
