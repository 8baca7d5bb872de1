"""What people type into a field: numbers with a decimal point or a decimal comma, and tags."""

from __future__ import annotations

import re
from math import isfinite

from unspool.errors import one_fault
from unspool.language import _, localised
from unspool.names import name_key

LONGEST_NUMBER = 40
LONGEST_SHOWN = 20
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]{1,3})?")


def decimal(text: str) -> float | None:
    """The finite number that was typed, with a point or a comma; None if it is no such number.

    "1,5" and "1.5" are one and a half. Both signs in one number are refused: "1.234,5" could be
    read in two ways.
    """
    bare = text.strip()
    if len(bare) > LONGEST_NUMBER or not _NUMBER.fullmatch(bare):
        return None
    value = float(bare.replace(",", "."))
    return value if isfinite(value) else None


def typed_number(where: str, text: object) -> float:
    """The number. Raises InputError that names the field if it is none."""
    value = decimal(text) if isinstance(text, str) else None
    if value is not None:
        return value
    shown = str(text).strip()[:LONGEST_SHOWN]
    found = f'"{shown}"' if shown else _("nothing")
    example = _("a number, such as {example}", example=localised("12.5"))
    raise one_fault(where[:80], found, example)


def typed_tags(text: str) -> tuple[str, ...]:
    """Tags with commas between them, each once whatever its case, in the order of typing."""
    found: dict[str, str] = {}
    for word in (" ".join(word.split()) for word in text.split(",")):
        if word:
            found.setdefault(name_key(word), word)
    return tuple(found.values())
