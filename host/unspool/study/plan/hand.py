"""The winding for a hand: of all that are nearly as good as the best, the simplest.

Fewer tiers are simpler. Of as many tiers, whole turns are simpler than halves, and halves than the
step asked for. Of equally simple windings the best is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from unspool.model.number import Flags, Floats, Indices
from unspool.study.plan.evaluate import LEAST_TURNS, Evaluation, PlanningTask
from unspool.study.plan.search import Optimum

# Steps simpler than the one asked for, the simplest first.
SIMPLER = (1.0, 0.5)
# If nothing in the step asked for is allowed: limits or a mark may leave a narrow gap.
FINER = (1.0, 0.2, 0.04)
# Grid windings to round: those that are less than this share below the best.
WORTH_ROUNDING = 0.05
# Candidates, in closed form or solved.
MOST_CANDIDATES = 30_000
MOST_TIERS = 7  # 3 choices on each of more are too many to try
DIGITS = 6  # so that 3 x 0.1 is 0.3
TELLS = 0.01  # turns, to which the best winding is said


@dataclass(frozen=True)
class HandWinding:
    """The winding to propose, and the best one whatever its turns; `step`: what its turns are
    multiples of.
    """

    simplest: Optimum
    best: Optimum
    step: float


def wound_by_hand(task: PlanningTask, best: Optimum) -> HandWinding:
    """The simplest of the windings within 1 % of the best; if there is none, the nearest to it.

    If no winding of the step keeps the limits, the step is made finer.
    """
    for finer in FINER:
        step = finer * task.turn_step
        tried = task.evaluate(_candidates(task, best, step))
        if np.any(np.isfinite(tried.worth)):
            chosen = _simplest(task, tried, best.score, step)
            simplest = Optimum(tried.turns[chosen], float(tried.worth[chosen]), best.grid)
            return HandWinding(simplest, _said(task, best, simplest), step)
    return HandWinding(best, best, FINER[-1] * task.turn_step)


def _said(task: PlanningTask, best: Optimum, simplest: Optimum) -> Optimum:
    """The best winding in turns that can be read; the simplest, if it is as good."""
    turns = np.round(np.floor(best.turns / TELLS + 1e-6) * TELLS, DIGITS)
    said = task.evaluate(turns[None, :])
    if not np.isfinite(said.worth[0]):
        turns, said = best.turns, task.evaluate(best.turns[None, :])
    score = float(said.worth[0])
    return simplest if simplest.score >= score else replace(best, turns=turns, score=score)


def _candidates(task: PlanningTask, best: Optimum, step: float) -> Floats:
    """(n, tiers) multiples of step near the best winding and near all that are nearly as good."""
    rows = np.concatenate([best.turns[None, :], best.grid.turns[_worth_rounding(task, best)]])
    steps = [*(one for one in SIMPLER if one > step), step]
    floors = [np.floor(rows / one + 1e-6) * one for one in steps]
    nearest = [np.round(rows / one) * one for one in steps]
    near = np.concatenate([_around(best.turns, step), *floors, *nearest])
    near = np.unique(np.round(near, DIGITS), axis=0)
    worth_winding = np.all((near == 0.0) | (near >= LEAST_TURNS), axis=1)
    near = near[worth_winding & task.within_drop(near) & np.any(near > 0.0, axis=1)]
    if len(near) > MOST_CANDIDATES:
        string = near @ task.turn_m
        near = near[np.argsort(-string, kind="stable")[:MOST_CANDIDATES]]
    return np.asarray(near)


def _worth_rounding(task: PlanningTask, best: Optimum) -> Indices:
    """Of the grid: what is nearly as good, and the best of each choice of tiers."""
    worth = best.grid.worth
    near = worth >= best.score - task.goal.tolerance(best.score, WORTH_ROUNDING)
    order = np.argsort(-worth, kind="stable")
    _, first = np.unique(best.grid.turns[order] > 0.0, axis=0, return_index=True)
    return np.union1d(np.flatnonzero(near), order[first])


def _around(turns: Floats, step: float) -> Floats:
    """(n, tiers) multiples of step about `turns`; a tier of 0 turns stays so."""
    offsets = (-1, 0, 1) if len(turns) <= MOST_TIERS else (0,)
    counts = np.floor(turns / step + 1e-6)
    choices = [
        [0.0] if n == 0.0 else [max(float(count) + more, 0.0) * step for more in offsets]
        for n, count in zip(turns.tolist(), counts, strict=True)
    ]
    return np.array(list(product(*choices)), dtype=np.float64)


def _simplest(task: PlanningTask, tried: Evaluation, best: float, step: float) -> int:
    enough = tried.worth >= task.goal.nearly(best)
    if not np.any(enough):
        return tried.best
    roughness = np.zeros(len(tried.turns))
    for simpler in (one for one in SIMPLER if one > step):
        roughness += ~_are_multiples(tried.turns, simpler)
    tiers = np.count_nonzero(tried.turns, axis=1)
    return int(np.lexsort((-tried.worth, roughness, tiers, ~enough))[0])


def _are_multiples(turns: Floats, step: float) -> Flags:
    """(n,) whether all turns of a winding are multiples of step."""
    off = np.abs(turns / step - np.round(turns / step))
    return np.asarray(np.all(off < 1e-6, axis=1))
