"""TOML text from a file or a string, or one sentence that says why it cannot be had."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from unspool.errors import InputError

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
            f"{path}: cannot be read ({reason}); give the path of a TOML file"
        ) from error
    except ValueError as error:  # a NUL in the path
        raise InputError(f"{path!s}: is no path of a file; give the path of a TOML file") from error
    if len(raw) > LARGEST_FILE_BYTES:
        raise InputError(f"{path}: is larger than a car or track file can be; give another file")
    return decoded(raw, str(path))


def decoded(raw: bytes, source: str) -> str:
    """The text of a file's bytes. Raises InputError for bytes that are no text in UTF-8."""
    if b"\0" in raw:
        raise InputError(f"{source}: is a binary file, not TOML; give a text file")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(f"{source}, line {line}: is not UTF-8; save the file as UTF-8") from error


def parse_toml(text: str, source: str) -> Table:
    """The text as nested tables. Raises InputError with the line of the first syntax error."""
    if _TOO_DEEP.search(text):
        raise InputError(f"{source}: is nested too deeply to be a car or track file")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(_syntax_sentence(text, source, str(error))) from error
    except ValueError as error:
        place = _TOO_MANY_DIGITS.search(text)
        line = text.count("\n", 0, place.start() if place else len(text)) + 1
        raise InputError(
            f"{source}, line {line}: holds a number of thousands of digits; mend this line"
        ) from error
    except RecursionError as error:
        raise InputError(f"{source}: is nested too deeply to be a car or track file") from error


def _syntax_sentence(text: str, source: str, message: str) -> str:
    place = re.search(r"\(at line (\d+), column \d+\)", message)
    line = place.group(1) if place else str(text.count("\n") + 1)
    reason = message.split(" (at ")[0]
    return f"{source}, line {line}: is not TOML ({reason[:1].lower()}{reason[1:]}); mend this line"
