"""SameBoard: whether the board at the other end is still the one that it was.

Each board has a number for life. A hello with another number is believed if the next one repeats
it: one damaged frame in 65,536 passes its CRC.
"""

from __future__ import annotations

from enum import Enum, auto

from unspool.instrument.wire.messages import Hello


class Board(Enum):
    """Whose a hello is."""

    SAME = auto()
    DOUBTFUL = auto()  # the first hello with another number
    OTHER = auto()


class SameBoard:
    """in_doubt: the last hello had another number, and nothing of the board is believed."""

    def __init__(self) -> None:
        self._other = 0

    @property
    def in_doubt(self) -> bool:
        return self._other != 0

    def judge(self, known: Hello | None, hello: Hello) -> Board:
        """A board without a number may be any board."""
        before, self._other = self._other, 0
        if not known or not known.identity or hello.identity in (0, known.identity):
            return Board.SAME
        if hello.identity == before:
            return Board.OTHER
        self._other = hello.identity
        return Board.DOUBTFUL
