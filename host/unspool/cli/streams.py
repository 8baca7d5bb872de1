"""Standard output and error as they really are: piped, narrow, monochrome or not UTF-8."""

from __future__ import annotations

import codecs
import json
import os
import sys
from collections.abc import Mapping
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from rich.console import Console

PIPE_WIDTH = 1000


# Nearest relatives for terminals and pipes whose encoding lacks our characters.
_NEAR = {
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
    """Lets no character end a command: what a stream's encoding lacks gets a near relative."""
    codecs.register_error("unspool.near", _near)
    # A stream that the caller closed is None; writing to it is then no error.
    sys.stdout = sys.stdout or _nowhere()
    sys.stderr = sys.stderr or _nowhere()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="unspool.near")


def _nowhere() -> TextIO:
    return Path(os.devnull).open("w")


def _near(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_NEAR.get(character, "?") for character in lacking), error.end


def tell(sentence: str) -> None:
    """A sentence, or one with a line for each fault, on standard error."""
    print(f"unspool: {sentence}", file=sys.stderr, flush=True)


def console() -> Console:
    """For people, on standard output; colours only where a terminal wants them.

    Names come from files and boards, so nothing in a text is taken for markup. A pipe gets one
    line a row however long, because programs read lines.
    """
    piped = not sys.stdout.isatty() and "COLUMNS" not in os.environ
    width = PIPE_WIDTH if piped else None
    return Console(file=sys.stdout, highlight=False, markup=False, emoji=False, width=width)


def print_json(answer: Mapping[str, object]) -> None:
    """The one JSON object of a command, on standard output, in plain ASCII."""
    print(json.dumps(answer, allow_nan=False))
