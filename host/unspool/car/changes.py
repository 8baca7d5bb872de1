"""What is different between two car files, or two track files, key by key."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from unspool.car.toml_source import parse_toml
from unspool.errors import InputError

Value = str | int | float | bool


@dataclass(frozen=True)
class Change:
    """One key whose value changed; None is a key that is not there.

    key: its path, as in `drum.start.turns`. A table of a list is called by its name if it has one,
    else by its place, counted from 1.
    """

    key: str
    before: Value | None
    after: Value | None


def changes_between(before: str, after: str) -> tuple[Change, ...]:
    """In the order of the new file, then what it left out. Nothing if either text is no TOML.

    Comments, spaces and the order of keys are no changes.
    """
    try:
        old, new = (dict(_keys(parse_toml(text, "a version"), "")) for text in (before, after))
    except InputError:
        return ()
    keys = [*new, *(key for key in old if key not in new)]
    return tuple(
        Change(key, old.get(key), new.get(key)) for key in keys if old.get(key) != new.get(key)
    )


def _keys(value: object, path: str) -> Iterator[tuple[str, Value]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _keys(inner, f"{path}.{key}" if path else str(key))
    elif isinstance(value, list):
        for number, inner in enumerate(value, 1):
            yield from _keys(inner, f"{path}.{_called(inner, number)}")
    elif isinstance(value, str | int | float):
        yield path, value
    else:
        yield path, str(value)  # a date: no key of ours, but a difference


def _called(table: object, number: int) -> str:
    name = table.get("name") if isinstance(table, dict) else None
    return name if isinstance(name, str) else str(number)
