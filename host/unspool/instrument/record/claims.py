"""Claims: which of several recorders has which board. A board's number decides, and not its port.

A board that is on a cable and a radio at once is recorded over the one that came first. If that
link is down, the board has moved: the other recorder goes on with it, and the first one ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock
from typing import Protocol

from unspool.errors import BoardTakenError
from unspool.language import Phrase


class Claimant(Protocol):
    """A recorder."""

    place: str  # of its link

    def give_way(self) -> None: ...


@dataclass
class _Claim:
    claimant: Claimant
    heard: bool = True


class Claims:
    """Safe from several threads. A board without a number, 0, is nobody's."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._claims: dict[int, _Claim] = {}

    def claim(self, board: int, claimant: Claimant) -> None:
        """The board is heard on this one's link. Raises BoardTakenError if another one hears it."""
        if not board:
            return
        with self._lock:
            there = self._claims.get(board)
            if there and there.claimant is not claimant:
                if there.heard:
                    raise _taken(board, there.claimant.place)
                there.claimant.give_way()
            self._claims[board] = _Claim(claimant)

    def lost(self, claimant: Claimant) -> None:
        """Its link is down: its board may turn up elsewhere."""
        with self._lock:
            for claim in self._claims.values():
                claim.heard &= claim.claimant is not claimant

    def release(self, claimant: Claimant) -> None:
        """It records no board any more."""
        with self._lock:
            kept = {board: one for board, one in self._claims.items() if one.claimant != claimant}
            self._claims = kept


def _taken(board: int, place: str) -> BoardTakenError:
    return BoardTakenError(
        Phrase(
            "board {board} is recorded over {place} already; end that recording first, or leave"
            " this link free",
            board=format(board, "08x"),
            place=place,
        )
    )
