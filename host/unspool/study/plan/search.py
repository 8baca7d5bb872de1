"""From a coarse look at all windings to the best one: each good one moves on its own until no small
change helps, then the roundest turns that are as good are taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.model.number import Floats
from unspool.study.plan.evaluate import Task, Trial
from unspool.study.plan.grid import LEAST_TURNS, first_windings, settled
from unspool.study.plan.rounding import rounded

SEEDS, QUICK_SEEDS = 6, 2
MOST_SEEN = 2000  # of the first look's best, for seeds
# String is moved in ever smaller steps down to this share of the drop.
FINEST = 2e-4
FEW_TIERS = 6
NOTHING = 1e-6  # m or s
MOST_ROUNDS = 12  # at one step
# A tier is left out of the winding only where that gains more than this: with all tiers wound the
# car starts with more to spare, and its file can say the winding.
WORTH_LEAVING_OUT = 0.0025


@dataclass(frozen=True)
class Found:
    """The winding chosen, (tiers,) turns, with its score, and all that the first look tried."""

    turns: Floats
    score: float
    look: Trial


def search(task: Task, affordable: int) -> Found | None:
    """The best winding within the limits; None where no winding keeps them."""
    look = task.tried(first_windings(task, affordable))
    if not np.any(np.isfinite(look.worth)):
        return None
    best = _refined(task, _seeds(look.turns, look.worth, SEEDS))
    every = np.where(np.all(look.turns > 0.0, axis=1), look.worth, -np.inf)
    if np.any(np.isfinite(every)):
        whole = _refined(task, _seeds(look.turns, every, SEEDS), whole=True)
        if whole[1] >= best[1] - task.goal.share(best[1], WORTH_LEAVING_OUT):
            best = whole
    turns, score = rounded(task, *best)
    return Found(turns, score, look)


def peak(task: Task, affordable: int, near: Floats) -> float | None:
    """The best score alone, of turns as they come, sought from `near` (tiers,) and a quick look."""
    turns = first_windings(task, affordable)
    if task.within_drop(near):
        turns = np.concatenate([near[None, :], turns])
    if not len(turns):
        return None
    worth = task.tried(turns).worth
    if not np.any(np.isfinite(worth)):
        return None
    return _refined(task, _seeds(turns, worth, QUICK_SEEDS))[1]


def _seeds(turns: Floats, worth: Floats, count: int) -> Floats:
    """The best windings, each unlike those before it by a tenth of all turns or more."""
    kept: list[Floats] = []
    for row in np.argsort(-worth, kind="stable")[:MOST_SEEN]:
        if len(kept) == count or not np.isfinite(worth[row]):
            break
        apart = [float(np.abs(turns[row] - one).sum() / one.sum()) for one in kept]
        if min(apart, default=1.0) >= 0.1:
            kept.append(turns[row])
    return np.array(kept)


def _refined(task: Task, seeds: Floats, whole: bool = False) -> tuple[Floats, float]:
    """The best that any seed leads to, and its worth; `whole` keeps every tier wound."""
    turns, worth = seeds, task.tried(seeds).worth
    step = 0.05 * task.car.drop_m
    while step > FINEST * task.car.drop_m:
        for _ in range(MOST_ROUNDS if task.closed else 2):
            moved, gain = _moved(task, turns, step, whole)
            better = gain > worth + NOTHING
            turns = np.where(better[:, None], moved, turns)
            worth = np.where(better, gain, worth)
            if not np.any(better):
                break
        step *= 0.5 if task.closed else 0.25
        if not task.closed:
            turns, worth = turns[[np.argmax(worth)]], worth[[np.argmax(worth)]]
    best = int(np.argmax(worth))
    return turns[best], float(worth[best])


def _moved(task: Task, turns: Floats, step_m: float, whole: bool) -> tuple[Floats, Floats]:
    """For each of (s, tiers) the best of its neighbours, and that one's worth."""
    tiers = turns.shape[1]
    near = np.concatenate([_neighbours(task, row, step_m) for row in turns])
    owner = np.repeat(np.arange(len(turns)), len(near) // len(turns))
    fits = task.within_drop(near) & np.any(near > 0.0, axis=1)
    if whole:
        fits &= np.all(near > 0.0, axis=1)
    worth = np.full(len(near), -np.inf)
    if np.any(fits):
        worth[fits] = task.tried(near[fits]).worth
    by_owner = worth.reshape(len(turns), -1)
    best = np.argmax(by_owner, axis=1)
    rows = np.flatnonzero(owner == 0)[0] + np.arange(len(turns)) * by_owner.shape[1] + best
    return near[rows].reshape(-1, tiers), by_owner.max(axis=1)


def _neighbours(task: Task, turns: Floats, step_m: float) -> Floats:
    """A step of string more, less or all that is left on a tier, or moved from one to another; and
    all of a tier but LEAST_TURNS, or all of it, moved to another.
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
    return settled(np.maximum(string + np.concatenate(moves), 0.0) / turn_m)


def _pairs(tiers: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Tiers between which string is moved: all of a few; of many the near ones, and the ends."""
    givers, takers = np.nonzero(~np.eye(tiers, dtype=np.bool_))
    if tiers > FEW_TIERS:
        ends = (0, tiers - 1)
        kept = (np.abs(givers - takers) == 1) | np.isin(givers, ends) | np.isin(takers, ends)
        givers, takers = givers[kept], takers[kept]
    return givers, takers
