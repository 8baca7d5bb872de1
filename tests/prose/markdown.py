"""The sentences of a page in Markdown: paragraphs, headings, list items and table cells."""

from __future__ import annotations

from collections.abc import Iterator

from markdown_it import MarkdownIt
from markdown_it.token import Token

from prose.rules import CODE, Passage

_PARSER = MarkdownIt("commonmark").enable("table")


def passages(text: str) -> Iterator[Passage]:
    """Every piece of running text. Code blocks are left out; code in a line becomes one word."""
    for token in _PARSER.parse(text):
        if token.type == "inline":
            yield Passage((token.map or [0])[0] + 1, _words(token))


def _words(token: Token) -> str:
    parts = []
    for child in token.children or []:
        if child.type == "code_inline":
            parts.append(CODE)
        elif child.type in ("softbreak", "hardbreak"):
            parts.append(" ")
        elif child.type in ("text", "image"):
            parts.append(child.content)
    return "".join(parts)
