"""Faults of a file in builder's words: key's path, what was found, what is expected.

Each field of a schema says in its description what it expects; that one text serves whatever is
wrong with the value, and a missing value too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from math import isfinite
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from unspool.car.unit_hints import unit_hint
from unspool.errors import Fault, InputError
from unspool.language import _, localised

Path = tuple[int | str, ...]
# A message stays shorter than a screen, whatever the file holds.
_LONGEST_FOUND = 60
_LONGEST_PATH = 80
MOST_FAULTS = 20


def path_text(path: Path) -> str:
    """`drum[1].turns` of ("drum", 1, "turns"), counted from 0 as programs that read TOML do."""
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return _cut("".join(steps).removeprefix("."), _LONGEST_PATH)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3] + "..."


def fault(path: Path, found: str, expected: str) -> Fault:
    return Fault(path_text(path), found, expected)


def found_text(value: object) -> str:
    """A value as TOML writes it, cut if it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return _("a table")
    if isinstance(value, list):
        return _("a list")
    text = f'"{value}"' if isinstance(value, str) else _number_text(value)
    return _cut(text, _LONGEST_FOUND)


def _number_text(value: object) -> str:
    try:
        return str(value)
    except ValueError:  # Python refuses to write an integer of more than 4,300 digits
        return _("a number of thousands of digits")


def schema_faults(error: ValidationError, schema: type[BaseModel]) -> list[Fault]:
    """Every fault that pydantic found, in the order of the schema's keys."""
    return [_fault_of(detail, schema) for detail in error.errors()]


def _fault_of(detail: ErrorDetails, schema: type[BaseModel]) -> Fault:
    path = detail["loc"]
    if detail["type"] == "extra_forbidden":
        return fault(path, _("an unknown key"), _nearest(str(path[-1]), path[:-1], schema))
    field = _field_at(path, schema)
    expected = _expected(field)
    if detail["type"] == "missing":
        return fault(path, _("nothing"), expected)
    if detail["type"] == "too_long":
        return fault(path, _("{count} of them", count=len(detail["input"])), expected)
    key = ".".join(step for step in path if isinstance(step, str))
    hint = unit_hint(key, detail["input"])
    return fault(path, found_text(detail["input"]), expected + hint)


def _expected(field: FieldInfo | None) -> str:
    """What the field may hold, with the numbers of its range."""
    if field is None or field.description is None:
        return _("another value")
    said = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
    return _(field.description, **{name: localised(f"{n:.6g}") for name, n in said.items()})


def _nearest(key: str, parent: Path, schema: type[BaseModel]) -> str:
    section = _model_at(parent, schema)
    near = get_close_matches(key, section.model_fields, n=1, cutoff=0.6)
    if near:
        return f"`{near[0]}`"
    elsewhere = [name for name, model in _sections(schema) if key in model.model_fields]
    if elsewhere:
        places = " {} ".format(_("or")).join(elsewhere)
        return _("it under {places}", places=places)
    return _("one of {keys}", keys=", ".join(section.model_fields))


def _sections(schema: type[BaseModel]) -> Iterator[tuple[str, type[BaseModel]]]:
    for name, field in schema.model_fields.items():
        model = _model_of(field.annotation)
        if model is not None:
            listed = "list" in str(field.annotation)
            yield (f"[[{name}]]" if listed else f"[{name}]"), model


def _model_of(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_model_of, get_args(annotation))), None)


def _model_at(path: Path, schema: type[BaseModel]) -> type[BaseModel]:
    for step in path:
        if isinstance(step, str):
            schema = _model_of(schema.model_fields[step].annotation) or schema
    return schema


def _field_at(path: Path, schema: type[BaseModel]) -> FieldInfo | None:
    names = [step for step in path if isinstance(step, str)]
    if not names:
        return None
    section = _model_at(tuple(names[:-1]), schema)
    return section.model_fields.get(names[-1])


def refuse(source: str, faults: Sequence[Fault]) -> InputError:
    """The error that carries all faults; its message lists the first MOST_FAULTS, one a line."""
    if len(faults) == 1:
        return InputError(f"{source}: {faults[0]}", tuple(faults))
    shown = faults[:MOST_FAULTS]
    lines = "".join(f"\n  {one}" for one in shown)
    if len(faults) > len(shown):
        lines += "\n  " + _("and {count} more", count=len(faults) - len(shown))
    mend = _("{count} faults to mend", count=len(faults))
    if any("[" in one.where for one in shown):
        mend = _("{count} faults to mend ([0] is the first of its kind)", count=len(faults))
    return InputError(f"{source}: {mend}{lines}", tuple(faults))


def number(table: object, key: str) -> float | None:
    """A finite number of a raw table, or None: checks across keys use this."""
    value = table.get(key) if isinstance(table, Mapping) else None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return value if isfinite(float(value)) else None
    except OverflowError:  # an integer of hundreds of digits; the schema refuses it
        return None


def tables(raw: Mapping[str, Any], key: str) -> list[Any]:
    """The list under a key as written, empty if it is no list."""
    value = raw.get(key)
    return value if isinstance(value, list) else []
