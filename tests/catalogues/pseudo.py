"""A language that marks each message, to find words on a page that no catalogue holds."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from unittest.mock import patch

from babel.dates import get_month_names
from playwright.sync_api import Page

from unspool.app import script_words

# The page asks for this language, whose messages are then not its own.
CODE = "de"
_OPEN, _CLOSE = "⟦", "⟧"
_WORD = re.compile(r"[A-Za-zÀ-ÿ]{3,}")
# All that a reader reads or hears. What stands in an element with another `lang` is another matter.
_TEXTS = """() => {
  const read = [], heard = [];
  const names = ["aria-label", "title", "placeholder", "alt"];
  const walk = (node) => {
    if (node.nodeType === 3) read.push(node.data);
    if (node.nodeType !== 1 || ["SCRIPT", "STYLE", "TEXTAREA"].includes(node.tagName)) return;
    if (node.matches("button[lang], option[lang], code, pre")) return;
    for (const name of names) if (node.hasAttribute(name)) heard.push(node.getAttribute(name));
    node.childNodes.forEach(walk);
  };
  walk(document.body);
  return [read, heard];
}"""


class _Marked(Mapping[str, str]):
    def __getitem__(self, message: str) -> str:
        return f"{_OPEN}{message}{_CLOSE}"

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def get(self, message: str, _otherwise: object = None) -> str:  # type: ignore[override]
        return self[message]


class _MarkedCounts(_Marked):
    def __getitem__(self, message: str) -> tuple[str, str]:  # type: ignore[override]
        return (f"{_OPEN}{message}{_CLOSE}", f"{_OPEN}{message}{_CLOSE}")

    def get(self, message: str, otherwise: tuple[str, str]) -> tuple[str, str]:  # type: ignore[override]
        one, more = otherwise
        return (f"{_OPEN}{one}{_CLOSE}", f"{_OPEN}{more}{_CLOSE}")


@contextmanager
def marked_messages() -> Iterator[None]:
    """Inside, what CODE says is the English in brackets."""
    script_words.script_words.cache_clear()
    with (
        patch("unspool.language.single_messages", lambda _code: _Marked()),
        patch("unspool.language.plurals", lambda _code: _MarkedCounts()),
        patch.object(script_words, "single_messages", lambda _code: _Marked()),
        patch.object(script_words, "plurals", lambda _code: _MarkedCounts()),
    ):
        yield
    script_words.script_words.cache_clear()


def unmarked(page: Page, names: tuple[str, ...] = ()) -> list[str]:
    """Words on a page that no catalogue holds, without months and names that people gave.

    A message may go on over several elements, such as a sentence with a link in it.
    """
    own = (*names, *get_month_names("abbreviated", locale=CODE).values())
    read, heard = page.evaluate(_TEXTS)
    found = [*_outside(read), *(part for text in heard for part in _outside([text]))]
    bare = [_without(text, own) for text in found]
    return list(dict.fromkeys(text for text in bare if _WORD.search(text)))


def _outside(texts: list[str]) -> list[str]:
    """What of each text stands outside of every message. Raises ValueError if one has no end.

    Legends show no more than the end of a message: "A no. 1" of a name that begins as the others.
    """
    depth, kept = 0, []
    for text in texts:
        outside = ""
        for sign in text:
            depth = max(depth + (sign == _OPEN) - (sign == _CLOSE), 0)
            outside += sign if depth == 0 and sign != _CLOSE else ""
        kept.append(outside)
    if depth:
        raise ValueError(f"a message has no end: {texts}")
    return kept


def _without(text: str, names: tuple[str, ...]) -> str:
    for name in names:
        text = re.sub(rf"\b{re.escape(name)}(?!\w)", "", text)
    return " ".join(text.split())
