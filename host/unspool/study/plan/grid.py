"""The coarse grid of windings that a search starts from."""

from __future__ import annotations

from itertools import combinations
from math import comb

import numpy as np

from unspool.model.number import Floats
from unspool.study.plan.evaluate import LEAST_TURNS, PlanningTask


def shares(tiers: int, affordable: int) -> Floats:
    """(n, tiers) shares of the drop, each a multiple of the same part; the rest is left unwound.

    At most `affordable` rows, but always each tier by itself.
    """
    parts = 1
    while comb(parts + 1 + tiers, tiers) <= affordable:
        parts += 1
    # Stars and bars: the gaps between `tiers` bars are the parts that each tier gets.
    bars = np.array(list(combinations(range(parts + tiers), tiers)))
    edges = np.concatenate([np.full((len(bars), 1), -1), bars], axis=1)
    return np.asarray((np.diff(edges, axis=1) - 1) / parts)


def windable(turns: Floats) -> Floats:
    """Turns that are worth winding: none, or LEAST_TURNS and more."""
    small = np.where(turns < 0.5 * LEAST_TURNS, 0.0, LEAST_TURNS)
    return np.where(turns < LEAST_TURNS, small, turns)


def coarse_grid(task: PlanningTask, affordable: int) -> Floats:
    """(n, tiers) turns, among them the car file's own; all within the drop and none twice."""
    spread = shares(len(task.turn_m), affordable) * task.car.drop_m / task.turn_m
    own = np.array([[tier.turns for tier in task.car.drum]])
    turns = np.unique(windable(np.concatenate([spread, own])), axis=0)
    return np.asarray(turns[task.within_drop(turns) & np.any(turns > 0.0, axis=1)])
