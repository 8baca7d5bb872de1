"""A board whose every edge is known, and what its runs' edges are called."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.virtual.demo.wheel_script import WheelScript

TICK_S = 5e-6


@dataclass(frozen=True)
class Expected:
    """A board's edges, and what became of them.

    acknowledged: edges that the host let it forget. lost: those that it had no room for. whole: the
    runs that must be in the store with all their edges.
    """

    script: WheelScript
    acknowledged: int = 0
    lost: int = 0
    whole: tuple[int, ...] = (0,)

    def is_true(self, number: np.ndarray, time_s: np.ndarray) -> bool:
        """Whether the board had these edges at these times of its own clock."""
        true = self.script.time_s
        inside = bool(len(number) == 0 or (number.min() >= 0 and number.max() < len(true)))
        return inside and bool(np.all(np.abs(true[number] - time_s) < 2 * TICK_S))


def numbers(script: WheelScript, run: int = 0) -> range:
    """Numbers of one run's edges, from letting go to standing still."""
    true = script.truths[run].train
    start_s = true.time_s[0] + script.offset_s[run]
    first = int(np.searchsorted(script.time_s, start_s - 1e-9))
    return range(first, first + len(true))
