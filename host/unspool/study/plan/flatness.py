"""How flat the optimum is: what a miscounted turn costs, and which windings are nearly as good."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.study.plan.evaluate import FITS, PlanningTask
from unspool.study.plan.goal import A_HIT_M, Aim
from unspool.study.plan.limits import DROP, NAMES
from unspool.study.plan.search import Optimum

# What hands do: a turn too many or too few, or the start of the string a quarter turn off.
MISWOUND_TURNS = (-1.0, -0.25, 0.25, 1.0)
# A limit binds if going past it alone gains more than this share.
BINDS = 0.0025
# String left over that is less than any hand measures, as a share of the drop.
ALL_WOUND = 0.01


@dataclass(frozen=True)
class Miscount:
    """A tier wound with some turns more or fewer than planned, and the others as planned.

    `change` is in the goal's unit, below 0 if the goal suffers, None if it is missed. `keeps` is
    whether drop and limits still hold.
    """

    tier: str
    turns: float
    distance_m: float
    change: float | None
    keeps: bool


@dataclass(frozen=True)
class TurnsRange:
    """Turns on a tier with which, the others fitting, the goal is within 1 % of the best."""

    tier: str
    low: float
    high: float


def miscounts(task: PlanningTask, best: Optimum) -> tuple[Miscount, ...]:
    """Every tier that is wound, with each of MISWOUND_TURNS that leaves some turns on it."""
    rows = [
        (k, off)
        for k, turns in enumerate(best.turns)
        for off in MISWOUND_TURNS
        if turns > 0.0 and turns + off >= 0.0
    ]
    wound = np.array([best.turns + off * np.eye(len(best.turns))[k] for k, off in rows])
    tried = task.evaluate(wound)
    keeps = task.within_drop(wound) & tried.allowed
    change = tried.scores - best.score
    return tuple(
        Miscount(
            task.car.drum[k].name,
            off,
            float(tried.runs.distance_m[i]),
            float(change[i]) if np.isfinite(change[i]) else None,
            bool(keeps[i]),
        )
        for i, (k, off) in enumerate(rows)
    )


def ranges(task: PlanningTask, best: Optimum) -> tuple[TurnsRange, ...]:
    """One for each tier, from the grid's windings that are nearly as good."""
    near = best.grid.worth >= task.goal.nearly(best.score)
    turns = np.concatenate([best.grid.turns[near], best.turns[None, :]])
    lows, highs = turns.min(axis=0), turns.max(axis=0)
    return tuple(
        TurnsRange(tier.name, float(low), float(high))
        for tier, low, high in zip(task.car.drum, lows, highs, strict=True)
    )


def binding(task: PlanningTask, best: Optimum) -> tuple[str, ...]:
    """The limits that hold the goal back: without that one alone, a winding would be better."""
    grid, better = best.grid, best.score + task.goal.tolerance(best.score, BINDS)
    names = []
    for name in NAMES:
        others = [flags for other, flags in grid.broken.items() if other != name]
        only = grid.broken[name] & grid.runs.starts & ~np.any(others, axis=0)
        if np.any(grid.scores[only] > better):
            names.append(name)
    left = task.car.drop_m * FITS - float(best.turns @ task.turn_m)
    if left < ALL_WOUND * task.car.drop_m and not _hits_the_mark(task, best):
        names.append(DROP)
    return tuple(names)


def _hits_the_mark(task: PlanningTask, best: Optimum) -> bool:
    """Whether nothing could be better."""
    return task.goal.aim is Aim.REACH and -best.score <= A_HIT_M
