"""WindingCounter: how far the wheel was wound backwards, and the builder's marks on the way."""

from __future__ import annotations

from itertools import pairwise

from unspool.store import Winding


class WindingCounter:
    """Positions are the wheel's, in edges.

    `slack` is the position at which nothing is wound: turning back from it winds, and coming
    forward to it again unwinds.
    """

    def __init__(self) -> None:
        self.slack = 0
        self.is_certain = True
        self._marks: list[int] = []

    def edges(self, position: int) -> int:
        return max(0, self.slack - position)

    def unwound(self, position: int) -> None:
        """Nothing is wound at this position, whatever was before."""
        self.slack = position
        self.is_certain = True
        self._marks.clear()

    def missed(self) -> None:
        """Edges are lost: how much is wound is not known until nothing is wound again."""
        self.is_certain = False

    def mark(self, position: int) -> None:
        """The builder goes on to the next tier here."""
        wound = self.edges(position)
        if wound > (self._marks[-1] if self._marks else 0):
            self._marks.append(wound)

    def unmark(self) -> None:
        """The last mark was a mistake."""
        if self._marks:
            self._marks.pop()

    def winding(self, position: int, edges_per_turn: int) -> Winding:
        """What is wound while the wheel stands at this position."""
        wound = self.edges(position)
        marks = [mark for mark in self._marks if mark < wound]  # not those unwound again
        if not marks:
            return Winding(wound / edges_per_turn)
        steps = (b - a for a, b in pairwise([0, *marks, wound]))
        return Winding(wound / edges_per_turn, tuple(step / edges_per_turn for step in steps))
