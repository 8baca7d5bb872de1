"""WoundString: what is wound on the drum, by the turns of the wheel and by what a drum can take."""

from __future__ import annotations

from unspool.instrument.record.board_facts import BoardFacts
from unspool.instrument.record.turn_limits import TurnLimits
from unspool.instrument.record.winding_counter import WindingCounter
from unspool.store import Winding


class WoundString:
    """Positions are the wheel's, in edges. turns: counts them, with the builder's marks."""

    def __init__(self, limits: TurnLimits, board: BoardFacts) -> None:
        self._limits, self._board = limits, board
        self.turns = WindingCounter()

    def is_wound(self, position: int) -> bool:
        """Whether the wheel stands so far back that something is wound."""
        return self.turns.edges(position) >= self._least

    def winding(self, position: int) -> Winding:
        """What is wound while the wheel stands at this position."""
        return self.turns.winding(position, self._board.edges_per_turn)

    def at_launch(self, low: int) -> Winding | None:
        """What a car was wound by that is let go from `low`; None if that is not certain."""
        turn = self._board.known_edges_per_turn
        if not turn or not self.is_wound(low) or not self.turns.is_certain:
            return None
        winding = self.turns.winding(low, turn)
        return winding if winding.turns <= self._limits.most_wound else None

    def settle(self, low: int, high: int) -> None:
        """The wheel rests between these two: wound, or unwound or rolled back by hand."""
        most = self._limits.most_wound * self._board.edges_per_turn
        if not self._least <= self.turns.edges(low) <= most:
            self.turns.unwound(high)

    def ran(self, reached: int, position: int) -> None:
        """A run ends at this position: the string has let go if it got far enough."""
        if reached >= self.turns.slack:
            self.turns.unwound(position)

    @property
    def _least(self) -> float:
        return self._limits.least_wound(self._board.edges_per_turn)
