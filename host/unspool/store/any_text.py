"""Text of any characters in a database that refuses the one with the number 0.

SQLite keeps it, so a store may hold it: a file or a person brought it. PostgreSQL gets two
characters in place of it, and what is read is the same as in SQLite.
https://www.postgresql.org/docs/current/datatype-character.html
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Dialect, Text
from sqlalchemy.types import TypeDecorator

_MARK = "\uf8ff"  # the last of the characters for private use; it stands for itself doubled
_NUL, _DOUBLED = _MARK + "0", _MARK * 2


class AnyText(TypeDecorator[str]):
    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        # an enum's member is written as its value, which not each driver does by itself
        return None if value is None else hidden(str(value))

    def process_result_value(self, value: Any | None, dialect: Dialect) -> str | None:
        return None if value is None else shown(value)


def hidden(text: str) -> str:
    """Without a character 0; `shown` gives the text back."""
    return text.replace(_MARK, _DOUBLED).replace("\0", _NUL)


def shown(text: str) -> str:
    if _MARK not in text:
        return text
    return _MARK.join(part.replace(_NUL, "\0") for part in text.split(_DOUBLED))
