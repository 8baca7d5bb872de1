"""Steps of a search that stay within bounds."""

from __future__ import annotations

import numpy as np

from unspool.study.calibration.types import Array


def bounded_step(matrix: Array, pull: Array, low: Array, high: Array) -> Array:
    """(s,) the step that solves matrix x step = pull, without those that would pass a bound.

    low <= 0 <= high. A step that would pass its bound ends there, and the rest is solved again.
    """
    step, free = np.zeros(len(pull)), np.ones(len(pull), dtype=bool)
    for _ in range(len(pull)):
        held = pull - matrix[:, ~free] @ step[~free]
        step[free] = np.linalg.solve(matrix[np.ix_(free, free)], held[free])
        beyond = free & ((step < low) | (step > high))
        if not beyond.any():
            break
        step[beyond] = np.clip(step, low, high)[beyond]
        free &= ~beyond
    return step


def damped(matrix: Array, damping: float) -> Array:
    """The matrix with its diagonal larger by this share."""
    return np.asarray(matrix + damping * np.diag(np.diag(matrix)))
