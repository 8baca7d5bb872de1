"""PulseTrain: the edges of one run as the sensor gave them, and nothing inferred."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.ending import Ending
from unspool.reading.edges.tick import tick_of


@dataclass(frozen=True)
class PulseTrain:
    """Edges of sensor A in the order in which they were stamped.

    time_s: (n,) float64, seconds on the board's (or the file's) clock. They start anywhere and
        never decrease.
    direction: (n,) int8, 1 forward, -1 backward.
    number: (n,) int64, the board's number of each edge. A step of more than 1 is a gap: its edges
        were lost and are known to be lost.

    lost_before: edges of this run before the first one that are known to be lost.

    ending: why the edges end, if that was seen while they were recorded.
    """

    time_s: NDArray[np.float64]
    direction: NDArray[np.int8]
    number: NDArray[np.int64]
    lost_before: int = 0
    ending: Ending = Ending.UNKNOWN

    def __len__(self) -> int:
        return len(self.time_s)

    def as_seen_by(self, sensors: int) -> PulseTrain:
        """The train of so many sensors: with one alone, all edges count as forward."""
        if sensors > 1:
            return self
        return replace(self, direction=np.ones_like(self.direction))

    @cached_property
    def tick_s(self) -> float:
        """The step that all times are multiples of; 0.0 if it is too fine to matter."""
        return tick_of(self.time_s)

    @property
    def missing(self) -> int:
        """Edges that the numbering shows to be lost."""
        return int(self.number[-1] - self.number[0] + 1 - len(self)) if len(self) else 0
