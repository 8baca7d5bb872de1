"""Turns that a hand can count: as round as costs next to nothing."""

from __future__ import annotations

from itertools import product

import numpy as np

from unspool.model.number import Floats
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.grid import LEAST_TURNS

# Turns to choose from, the roundest first. String is marked to the millimetre, some 0.02 turns; the
# last is for a drum so large that even less matters.
STEPS = (0.5, 0.25, 0.1, 0.05, 0.02, 0.01, 0.001)
# Two windings whose goals differ by less than this share are as good as each other.
AS_GOOD = 0.001
MOST_TIERS = 7  # 3 choices on each of more are too many to try
DIGITS = 6  # so that 3 x 0.1 is 0.3


def rounded(task: PlanningTask, turns: Floats, worth: float) -> tuple[Floats, float]:
    """The roundest turns near `turns` that are as good, and their worth."""
    enough = worth - task.goal.tolerance(worth, AS_GOOD)
    for step in STEPS if task.has_closed_form else STEPS[1::2]:
        near = _near(task, turns, step)
        if not len(near):
            continue
        tried = task.evaluate(near)
        if tried.worth[tried.best] >= enough:
            return near[tried.best], float(tried.worth[tried.best])
    return turns, worth


def _near(task: PlanningTask, turns: Floats, step: float) -> Floats:
    """(n, tiers) multiples of step about `turns`, within the drop; a tier of 0 turns stays so."""
    offsets = (-1, 0, 1) if len(turns) <= MOST_TIERS else (0,)
    choices = [_choices(n, step, offsets) for n in turns.tolist()]
    near = np.array(list(product(*choices)), dtype=np.float64)
    return np.asarray(near[task.within_drop(near)])


def _choices(turns: float, step: float, offsets: tuple[int, ...]) -> list[float]:
    if turns == 0.0:
        return [0.0]
    count = np.floor(turns / step + 1e-6)  # for rounding
    near = {round(float(count + more) * step, DIGITS) for more in offsets}
    return sorted(n for n in near if n >= LEAST_TURNS) or [LEAST_TURNS]
