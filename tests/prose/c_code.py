"""The sentences of a C, JavaScript or CSS file: comments, and in scripts the texts for people."""

from __future__ import annotations

import re
from collections.abc import Iterator

from prose.rules import Passage, is_sentence

_STRING_OR_COMMENT = re.compile(
    r'"((?:\\.|[^"\\\n])*)"|`[^`]*`|/\*(.*?)\*/|//([^\n]*(?:\n[ \t]*//[^\n]*)*)', re.DOTALL
)


def passages(source: str, *, with_texts: bool = False) -> Iterator[Passage]:
    """Block comments, and line comments that follow each other; a blank line parts paragraphs.

    with_texts: also the strings that hold a sentence.
    """
    for match in _STRING_OR_COMMENT.finditer(source):
        text, *comments = match.groups()
        line = source.count("\n", 0, match.start()) + 1
        if with_texts and text and is_sentence(text):
            yield Passage(line, text)
        plain = re.sub(r"^[ \t]*(?:\*|//)?[ \t]?", "", next(filter(None, comments), ""), flags=re.M)
        for paragraph in re.split(r"\n\s*\n", plain) if plain else ():
            yield Passage(line, paragraph)
            line += paragraph.count("\n") + 2
