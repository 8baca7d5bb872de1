"""The sentences of a C file: its comments."""

from __future__ import annotations

import re
from collections.abc import Iterator

from prose.rules import Passage

_STRING_OR_COMMENT = re.compile(
    r'"(?:\\.|[^"\\\n])*"|/\*(.*?)\*/|//([^\n]*(?:\n[ \t]*//[^\n]*)*)', re.DOTALL
)


def passages(source: str) -> Iterator[Passage]:
    """Block comments, and line comments that follow each other; a blank line parts paragraphs."""
    for match in _STRING_OR_COMMENT.finditer(source):
        body = match[1] if match[1] is not None else match[2]
        if body is None:
            continue
        plain = re.sub(r"^[ \t]*(?:\*|//)?[ \t]?", "", body, flags=re.MULTILINE)
        line = source.count("\n", 0, match.start()) + 1
        for paragraph in re.split(r"\n\s*\n", plain):
            yield Passage(line, paragraph)
            line += paragraph.count("\n") + 2
