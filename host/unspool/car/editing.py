"""Changes to the text of a car or track file that leave everything else in it as it was written.

A place in the file is a path of keys and of numbers from 0, as in `drum.1.turns`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from unspool.car.toml_source import Table, parse_toml
from unspool.errors import InputError
from unspool.language import _

Value = str | int | float | bool
_BARE_LINE_END = re.compile(r"(?<!\r)\n")


def value_at(raw: Table, path: str) -> Value | None:
    """What stands at the path; None if nothing does, or a table."""
    found: Any = raw
    for step in _steps(path):
        try:
            found = found[step]
        except (KeyError, IndexError, TypeError):
            return None
    return found if isinstance(found, Value) else None


def edited(text: str, changes: Mapping[str, Value | None]) -> str:
    """The text with these values at these paths; None takes the key out.

    Comments, order, spaces and line ends stay, and so does every value that is not named. A table
    that does not exist yet is put at the end. Raises InputError for a text that is no TOML, or a
    path that leads through no table.
    """
    document = _document(text)
    for path, value in changes.items():
        _put(document, path, value)
    return _text(document, text)


def with_table(text: str, section: str, table: Mapping[str, Value]) -> str:
    """The text with one more table at the end of a list, such as `drum`."""
    document = _document(text)
    entry = tomlkit.table()
    entry.update(table)
    if document.get(section) == []:
        document.pop(section)
    if section not in document:
        document.append(section, tomlkit.aot())
    listed: Any = document[section]
    if not isinstance(listed, AoT):
        raise InputError(_("{section} is no list of tables", section=section))
    if len(listed):
        followed = listed[-1].as_string().endswith(("\n\n", "\n\r\n"))
        (entry if followed else listed[-1]).add(tomlkit.nl())
    listed.append(entry)
    return _text(document, text)


def without_table(text: str, section: str, number: int) -> str:
    """The text without a table of a list. Raises InputError if there is none of that number."""
    document = _document(text)
    listed: Any = document.get(section)
    if not isinstance(listed, AoT) or not 0 <= number < len(listed):
        raise InputError(_("there is no {section} {number}", section=section, number=number + 1))
    del listed[number]
    if not len(listed):
        document.pop(section)
    return _text(document, text)


def _document(text: str) -> tomlkit.TOMLDocument:
    parse_toml(text, _("the file"))  # says what is wrong in our words
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError(_("the file cannot be changed ({error})", error=error)) from error


def _text(document: tomlkit.TOMLDocument, before: str) -> str:
    """Raises InputError if the result would be no TOML: then nothing is changed."""
    text = tomlkit.dumps(document)
    if "\n" in before and not _BARE_LINE_END.search(before):
        text = _BARE_LINE_END.sub("\r\n", text)
    parse_toml(text, _("the changed file"))
    return text


def _steps(path: str) -> list[str | int]:
    """A digit is a number in a list; no key of ours is one."""
    return [int(step) if step.isascii() and step.isdigit() else step for step in path.split(".")]


def _put(document: tomlkit.TOMLDocument, path: str, value: Value | None) -> None:
    *inner, key = _steps(path)
    table: Any = document
    try:
        for step in inner:
            if isinstance(step, str) and step not in table:
                if value is None:
                    return
                table.append(step, tomlkit.table())
            table = table[step]
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
    except (KeyError, IndexError, TypeError, AttributeError, TOMLKitError):
        raise InputError(_("{path}: leads to no place in the file", path=path[:80])) from None
