"""From a coarse grid of windings to the best one, whatever its turns.

Each good winding moves on its own until no small change helps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.model.number import Floats, Indices
from unspool.study.plan.evaluate import LEAST_TURNS, Evaluation, PlanningTask
from unspool.study.plan.grid import coarse_grid, windable

SEEDS, QUICK_SEEDS = 6, 2
MOST_SEEN = 2000  # of the grid's best, to choose seeds from
SEEDS_APART = 0.1  # of all turns: nearer windings climb to the same optimum
# String moves in steps of these shares of the drop: from some centimetres to a tenth of a
# millimetre.
COARSEST, FINEST = 0.05, 2e-4
FEW_TIERS = 6
NOTHING = 1e-6  # m or s
MOST_ROUNDS = 12  # at one step


@dataclass(frozen=True)
class Optimum:
    """A winding, (tiers,) turns, with its score, and the coarse grid that it came from."""

    turns: Floats
    score: float
    grid: Evaluation


def search(task: PlanningTask, affordable: int) -> Optimum | None:
    """The best winding within the limits; None if no winding keeps them."""
    grid = task.evaluate(coarse_grid(task, affordable))
    if not np.any(np.isfinite(grid.worth)):
        return None
    turns, score = _climbed(task, _seeds(grid.turns, grid.worth, SEEDS))
    return Optimum(turns, score, grid)


def best_score(task: PlanningTask, affordable: int, near: Floats) -> float | None:
    """The best score alone, not rounded, from `near` (tiers,) and a small grid."""
    turns = coarse_grid(task, affordable)
    if task.within_drop(near):
        turns = np.concatenate([near[None, :], turns])
    if not len(turns):
        return None
    worth = task.evaluate(turns).worth
    if not np.any(np.isfinite(worth)):
        return None
    return _climbed(task, _seeds(turns, worth, QUICK_SEEDS))[1]


def _seeds(turns: Floats, worth: Floats, count: int) -> Floats:
    """The best windings, each unlike those before it."""
    kept: list[Floats] = []
    for row in np.argsort(-worth, kind="stable")[:MOST_SEEN]:
        if len(kept) == count or not np.isfinite(worth[row]):
            break
        apart = [float(np.abs(turns[row] - one).sum() / one.sum()) for one in kept]
        if min(apart, default=1.0) >= SEEDS_APART:
            kept.append(turns[row])
    return np.array(kept)


def _climbed(task: PlanningTask, seeds: Floats) -> tuple[Floats, float]:
    """The best winding that any seed leads to, and its worth."""
    turns, worth = seeds, task.evaluate(seeds).worth
    step = COARSEST * task.car.drop_m
    while step > FINEST * task.car.drop_m:
        for _ in range(MOST_ROUNDS):
            moved, moved_worth = _moved(task, turns, step)
            better = moved_worth > worth + NOTHING
            turns = np.where(better[:, None], moved, turns)
            worth = np.where(better, moved_worth, worth)
            if not np.any(better):
                break
        step *= 0.5
    best = int(np.argmax(worth))
    return turns[best], float(worth[best])


def _moved(task: PlanningTask, turns: Floats, step_m: float) -> tuple[Floats, Floats]:
    """For each of (s, tiers) the best of its neighbours, and that one's worth."""
    tiers = turns.shape[1]
    near = np.concatenate([_neighbours(task, row, step_m) for row in turns])
    fits = task.within_drop(near) & np.any(near > 0.0, axis=1)
    worth = np.full(len(near), -np.inf)
    if np.any(fits):
        worth[fits] = task.evaluate(near[fits]).worth
    by_seed = worth.reshape(len(turns), -1)
    best = np.argmax(by_seed, axis=1)
    rows = np.arange(len(turns)) * by_seed.shape[1] + best
    return near[rows].reshape(-1, tiers), by_seed.max(axis=1)


def _neighbours(task: PlanningTask, turns: Floats, step_m: float) -> Floats:
    """(n, tiers) windings a step of string away.

    A tier gets a step more, a step less or all that is left. Or string moves from one tier to
    another: a step, all of it, or all but LEAST_TURNS.
    """
    tiers, turn_m = len(turns), task.turn_m
    one = np.eye(tiers)
    left = max(task.car.drop_m - float(turns @ turn_m), 0.0)
    string = turns * turn_m
    givers, takers = _pairs(tiers)
    over = one[takers] - one[givers]
    amounts = (
        np.full(len(givers), step_m),
        string[givers],
        (string - LEAST_TURNS * turn_m)[givers],
    )
    moves = [one * step_m, -one * step_m, one * left, *(a[:, None] * over for a in amounts)]
    return windable(np.maximum(string + np.concatenate(moves), 0.0) / turn_m)


def _pairs(tiers: int) -> tuple[Indices, Indices]:
    """Tiers between which string moves: all of a few; of many the near ones, and the ends."""
    givers, takers = np.nonzero(~np.eye(tiers, dtype=np.bool_))
    if tiers > FEW_TIERS:
        ends = (0, tiers - 1)
        kept = (np.abs(givers - takers) == 1) | np.isin(givers, ends) | np.isin(takers, ends)
        givers, takers = givers[kept], takers[kept]
    return givers, takers
