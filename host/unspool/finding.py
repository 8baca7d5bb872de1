"""Finding: one judgement about a run, a car, a board or a study, as data.

Whatever unspool notices has this one shape. Code compares codes and reads values; nobody parses a
sentence. `unspool.render.words.findings` makes the sentence from the code and the values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

Value = float | int | str | bool | None | tuple[str, ...] | tuple[float, ...]


class Severity(StrEnum):
    """A note informs. A warning asks the user to do something before trusting the result."""

    NOTE = "note"
    WARNING = "warning"


@dataclass(frozen=True)
class Finding:
    """One judgement.

    code: a key of the table in `unspool.render.words.findings`, listed in docs/formats.md.
    values: the quantities that the sentence needs, in SI units, by name. The unit is the name's
    suffix (`_m`, `_s`, `_m_s`, `_n`), as everywhere.
    """

    code: str
    severity: Severity
    values: Mapping[str, Value] = field(default_factory=lambda: MappingProxyType({}))


def in_words(code: str) -> str:
    """A code in words, for a sentence that only names it."""
    return code.replace("_", " ")


def note(code: str, **values: Value) -> Finding:
    """A finding that informs."""
    return Finding(code, Severity.NOTE, MappingProxyType(values))


def warning(code: str, **values: Value) -> Finding:
    """A finding that asks the user to do something before trusting the result."""
    return Finding(code, Severity.WARNING, MappingProxyType(values))


def warning_if(grave: bool, code: str, **values: Value) -> Finding:
    """A warning if the judgement is grave, a note otherwise."""
    return (warning if grave else note)(code, **values)
