"""Refusal: a board whose protocol is not this program's is refused, in one sentence."""

from __future__ import annotations

from unspool.errors import BoardError
from unspool.language import Phrase

FOREIGN_HELLOS = 2  # that say the same; a single one may be a garbled frame of a good board


class Refusal:
    """Counts foreign hellos; `raise_if_refused` raises once the same one came often enough."""

    def __init__(self) -> None:
        self._foreign: list[str] = []
        self._pending: str | None = None

    def foreign_hello(self, theirs: str, ours: str) -> None:
        self._foreign.append(theirs)
        if self._foreign.count(theirs) >= FOREIGN_HELLOS:
            self._foreign.clear()
            self._pending = Phrase(
                "The board speaks {theirs}, this unspool speaks {ours}: put the firmware that came"
                " with this unspool on the board, or install the unspool that fits the board.",
                theirs=theirs,
                ours=ours,
            )

    def good_hello(self) -> None:
        """A hello of ours: the foreign ones before it were garbled."""
        self._foreign.clear()

    def raise_if_refused(self) -> None:
        """Raises BoardError, once for each refusal."""
        if self._pending is not None:
            pending, self._pending = self._pending, None
            raise BoardError(pending)
