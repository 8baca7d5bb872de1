"""TOML text from a file or a string, or one sentence that says why it cannot be had."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from unspool.errors import InputError
from unspool.language import _

# A car file has under 2 kB, a track file of 500 levels under 30 kB. A larger one is another file.
LARGEST_FILE_BYTES = 100_000
# Python turns no more digits than this into an integer.
_TOO_MANY_DIGITS = re.compile(r"\d{4300,}")
# A car file nests two tables deep. The parser takes seconds for a key of thousands of parts.
_TOO_DEEP = re.compile(r"^\s*\[*\s*(?:[\w\"'-]+\s*\.\s*){10}", re.MULTILINE)

Table = dict[str, Any]


def read_text(path: Path) -> str:
    """The file's text. Raises InputError where there is none to be had."""
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            _(
                "{path}: cannot be read ({reason}); give the path of a TOML file",
                path=path,
                reason=reason,
            )
        ) from error
    except ValueError as error:  # a NUL in the path
        raise InputError(
            _("{path}: is no path of a file; give the path of a TOML file", path=path)
        ) from error
    if len(raw) > LARGEST_FILE_BYTES:
        raise InputError(
            _("{path}: is larger than a car or track file can be; give another file", path=path)
        )
    return decoded(raw, str(path))


def decoded(raw: bytes, source: str) -> str:
    """The text of a file's bytes. Raises InputError for bytes that are no text in UTF-8."""
    if b"\0" in raw:
        raise InputError(_("{source}: is a binary file, not TOML; give a text file", source=source))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            _(
                "{source}, line {line}: is not UTF-8; save the file as UTF-8",
                source=source,
                line=line,
            )
        ) from error


def parse_toml(text: str, source: str) -> Table:
    """The text as nested tables. Raises InputError with the line of the first syntax error."""
    if _TOO_DEEP.search(text):
        raise InputError(
            _("{source}: is nested too deeply to be a car or track file", source=source)
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(_syntax_sentence(text, source, str(error))) from error
    except ValueError as error:
        place = _TOO_MANY_DIGITS.search(text)
        line = text.count("\n", 0, place.start() if place else len(text)) + 1
        raise InputError(
            _(
                "{source}, line {line}: holds a number of thousands of digits; mend this line",
                source=source,
                line=line,
            )
        ) from error
    except RecursionError as error:
        raise InputError(
            _("{source}: is nested too deeply to be a car or track file", source=source)
        ) from error


def _syntax_sentence(text: str, source: str, message: str) -> str:
    place = re.search(r"\(at line (\d+), column \d+\)", message)
    line = place.group(1) if place else str(text.count("\n") + 1)
    reason = message.split(" (at ")[0]
    reason = f"{reason[:1].lower()}{reason[1:]}"
    return _(
        "{source}, line {line}: is not TOML ({reason}); mend this line",
        source=source,
        line=line,
        reason=reason,
    )
