"""Standard output and error as they really are: piped, narrow, monochrome or not UTF-8."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Mapping
from io import TextIOWrapper
from typing import TextIO

from rich.console import Console

PIPE_WIDTH = 1000


def prepare() -> None:
    """Lets no character end a command: what a stream's encoding lacks is printed as `?`."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


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


def speaks(stream: TextIO, characters: str) -> bool:
    """Whether a stream's encoding has all of these characters."""
    try:
        characters.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
