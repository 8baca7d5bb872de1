"""What the run detector's rules need of the board whose edges it looks at."""

from __future__ import annotations

from unspool.instrument.wire.decoded import BoardHello

USUAL_EDGES_PER_TURN = 20  # if neither board nor car file says


class BoardFacts:
    """reset_at: its ticks after the last reset that its edges outlived, 0 if there was none.

    car_edges_per_turn is the car file's, which comes first.
    """

    def __init__(self, car_edges_per_turn: int | None) -> None:
        self._car_edges_per_turn = car_edges_per_turn
        self._hello: BoardHello | None = None
        self.reset_at = 0

    @property
    def is_known(self) -> bool:
        """Whether it has said its constants, without which its ticks mean nothing."""
        return self._hello is not None

    def is_other(self, hello: BoardHello) -> bool:
        """Whether this hello is another boot's than the last one."""
        return self._hello is not None and self._hello.boot != hello.boot

    def greet(self, hello: BoardHello) -> None:
        """The board says hello."""
        if self.is_other(hello):
            self.reset_at = 0
        self._hello = hello

    @property
    def boot(self) -> int:
        """0 before its hello."""
        return self._hello.boot if self._hello else 0

    @property
    def tick_hz(self) -> int:
        """1 before its hello."""
        return self._hello.tick_hz if self._hello else 1

    @property
    def known_edges_per_turn(self) -> int | None:
        """None if neither board nor car file says."""
        on_board = self._hello.edges_per_turn if self._hello else 0
        return self._car_edges_per_turn or on_board or None

    @property
    def edges_per_turn(self) -> int:
        """The usual one if neither says."""
        return self.known_edges_per_turn or USUAL_EDGES_PER_TURN
