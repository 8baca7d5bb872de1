"""From a coarse grid of windings to the best one, whatever its turns.

Each good winding moves on its own until no small change helps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from unspool.model.number import Floats, Indices
from unspool.study.plan.evaluate import LEAST_TURNS, Evaluation, PlanningTask, evaluate_cars
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
    seeds = _seeds(grid.turns, grid.worth, SEEDS)
    turns, worth = _climbed([task], np.zeros(len(seeds), dtype=np.intp), seeds)
    best = int(np.argmax(worth))
    return Optimum(turns[best], float(worth[best]), grid)


def best_scores(tasks: Sequence[PlanningTask], affordable: int, near: Floats) -> list[float | None]:
    """The best score alone of each car, not rounded, from `near` (tiers,) and a small grid.

    All cars are searched side by side, as in evaluate_cars. None: no winding keeps the limits.
    """
    grids = [_grid_with(task, affordable, near) for task in tasks]
    of_grid = np.repeat(np.arange(len(tasks)), [len(grid) for grid in grids])
    if not len(of_grid):
        return [None] * len(tasks)
    worth = evaluate_cars(tasks, of_grid, np.concatenate(grids)).worth
    by_task = [worth[of_grid == k] for k in range(len(tasks))]
    seeds = [_seeds(grid, own, QUICK_SEEDS) for grid, own in zip(grids, by_task, strict=True)]
    which = np.repeat(np.arange(len(tasks)), [len(one) for one in seeds])
    if not len(which):
        return [None] * len(tasks)
    _, climbed = _climbed(tasks, which, np.concatenate([one for one in seeds if len(one)]))
    own = (climbed[which == k] for k in range(len(tasks)))
    return [float(one.max()) if len(one) else None for one in own]


def _grid_with(task: PlanningTask, affordable: int, near: Floats) -> Floats:
    """(n, tiers) the coarse grid, and `near` first if it fits the drop."""
    turns = coarse_grid(task, affordable)
    return np.concatenate([near[None, :], turns]) if task.within_drop(near) else turns


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


def _climbed(tasks: Sequence[PlanningTask], which: Indices, seeds: Floats) -> tuple[Floats, Floats]:
    """The winding that each seed leads to, and its worth. which: (s,) each seed's task."""
    turns, worth = seeds.copy(), evaluate_cars(tasks, which, seeds).worth
    drops = np.array([task.car.drop_m for task in tasks])[which]
    share = COARSEST
    while share > FINEST:
        moving = np.arange(len(seeds))
        for _ in range(MOST_ROUNDS):
            steps = share * drops[moving]
            moved, moved_worth = _moved(tasks, which[moving], turns[moving], steps)
            better = moved_worth > worth[moving] + NOTHING
            # A seed that no step helps stays where it is: the same step would not help it later.
            moving = moving[better]
            turns[moving], worth[moving] = moved[better], moved_worth[better]
            if not len(moving):
                break
        share *= 0.5
    return turns, worth


def _moved(
    tasks: Sequence[PlanningTask], which: Indices, turns: Floats, steps_m: Floats
) -> tuple[Floats, Floats]:
    """For each of (s, tiers) the best of its neighbours, and that one's worth."""
    each = [tasks[k] for k in which]
    near = [
        _neighbours(task, row, step)
        for task, row, step in zip(each, turns, steps_m.tolist(), strict=True)
    ]
    fits = np.array(
        [
            task.within_drop(one) & np.any(one > 0.0, axis=1)
            for task, one in zip(each, near, strict=True)
        ]
    )
    all_near = np.array(near)
    worth = np.full(fits.shape, -np.inf)
    if np.any(fits):
        of_seed, _ = np.nonzero(fits)
        worth[fits] = evaluate_cars(tasks, which[of_seed], all_near[fits]).worth
    best = np.argmax(worth, axis=1)
    rows = np.arange(len(turns))
    return all_near[rows, best], worth[rows, best]


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
