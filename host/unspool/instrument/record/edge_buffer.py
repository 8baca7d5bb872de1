"""EdgeBuffer: the edges that may belong to a run, kept until that is decided."""

from __future__ import annotations

from bisect import bisect_left

import numpy as np

from unspool.instrument.wire.decoded import EdgeBatch


class EdgeBuffer:
    """Edges in the order of their numbers, as plain columns that grow."""

    def __init__(self) -> None:
        self.number: list[int] = []
        self.ticks: list[int] = []
        self.direction: list[int] = []

    def __len__(self) -> int:
        return len(self.number)

    def add(self, number: int, ticks: int, direction: int) -> None:
        self.number.append(number)
        self.ticks.append(ticks)
        self.direction.append(direction)

    def forget_before(self, ticks: int) -> None:
        gone = bisect_left(self.ticks, ticks)
        del self.number[:gone], self.ticks[:gone], self.direction[:gone]

    def batch(self, start: int = 0) -> EdgeBatch:
        """The edges from index `start` on."""
        return EdgeBatch(
            np.array(self.number[start:], dtype=np.int64),
            np.array(self.ticks[start:], dtype=np.int64),
            np.array(self.direction[start:], dtype=np.int8),
        )
