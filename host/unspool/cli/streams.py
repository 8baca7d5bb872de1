"""Standard output and error as they really are: piped, narrow, monochrome or not UTF-8."""

from __future__ import annotations

import codecs
import json
import os
import re
import sys
from collections.abc import Mapping
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from unspool.safe_console import SafeConsole
from unspool.safe_text import visible

PIPE_WIDTH = 1000
LONGEST_LINE = 1000  # characters of a complaint
_STRAY_LINE_END = re.compile(r"\n(?!  )")


# Similar characters for terminals and pipes whose encoding lacks ours.
_SIMILAR = {
    "\u00a0": " ",
    "\u2212": "-",  # minus
    "\u2013": "-",  # en dash
    "±": "+/-",
    "°": " deg",
    "…": "...",
    "▲": "^",
    **dict.fromkeys("▁▂", "."),
    **dict.fromkeys("▃▄", ":"),
    **dict.fromkeys("▅▆", "+"),
    **dict.fromkeys("▇█", "#"),
}


def prepare() -> None:
    """Replaces characters that a stream's encoding lacks, so that none ends a command."""
    codecs.register_error("unspool.similar", _similar)
    # A stream that the caller closed is None. Writing to it should be no error.
    sys.stdout = sys.stdout or _nowhere()
    sys.stderr = sys.stderr or _nowhere()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="unspool.similar")


def _nowhere() -> TextIO:
    return Path(os.devnull).open("w")


def _similar(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_SIMILAR.get(character, "?") for character in lacking), error.end


def to_stderr(sentence: str) -> None:
    """Prints a sentence, perhaps with a line for each fault, on standard error.

    The line of a fault begins with two spaces. Any other line end stands in a name. A line that is
    too long repeats a long input, of which both ends are shown.
    """
    lines = _STRAY_LINE_END.sub(r"\\n", sentence).split("\n")
    print(f"unspool: {visible(chr(10).join(map(_cut, lines)))}", file=sys.stderr, flush=True)


def _cut(line: str) -> str:
    if len(line) <= LONGEST_LINE:
        return line
    return f"{line[: LONGEST_LINE // 2]} ... {line[-LONGEST_LINE // 2 :]}"


def console() -> SafeConsole:
    """For people, on standard output, with colours if it is a terminal that shows them.

    Names come from files and boards, so no part of a text is read as markup. A pipe gets each row
    on one line, however long, because programs read lines.
    """
    piped = not sys.stdout.isatty() and "COLUMNS" not in os.environ
    width = PIPE_WIDTH if piped else None
    return SafeConsole(file=sys.stdout, highlight=False, markup=False, emoji=False, width=width)


def print_json(answer: Mapping[str, object]) -> None:
    """Prints the one JSON object of a command on standard output, in ASCII."""
    print(json.dumps(answer, allow_nan=False))
