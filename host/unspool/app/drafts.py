"""Drafts: texts of cars and floors between two pages of a form, kept while the app is open."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from secrets import token_urlsafe
from threading import Lock

MOST = 200


@dataclass(frozen=True)
class Draft:
    """base: the text that the store has, of revision `seen`; text: with what was changed in it."""

    base: str
    text: str
    seen: int


class Drafts:
    """Safe to use from several threads. The oldest goes if there are too many."""

    def __init__(self) -> None:
        self._drafts: OrderedDict[str, Draft] = OrderedDict()
        self._lock = Lock()

    def put(self, draft: Draft) -> str:
        """The name to get it back by."""
        name = token_urlsafe(9)
        with self._lock:
            self._drafts[name] = draft
            while len(self._drafts) > MOST:
                self._drafts.popitem(last=False)
        return name

    def get(self, name: str) -> Draft | None:
        with self._lock:
            return self._drafts.get(name)
