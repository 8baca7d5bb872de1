"""How flat the optimum is: what a turn more or less costs, which windings are nearly as good."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.study.plan.evaluate import FITS, Task
from unspool.study.plan.goal import A_HIT_M, Aim
from unspool.study.plan.limits import WORDS
from unspool.study.plan.search import Found

MISWOUND_TURNS = (-1.0, -0.25, 0.25, 1.0)
NEARLY = 0.01
# A limit holds the goal back where going past it alone gains more than this.
BINDS = 0.0025
# String left over that is less than any hand measures, as a share of the drop.
ALL_WOUND = 0.01


@dataclass(frozen=True)
class Slip:
    """A tier wound with some turns more or less than planned and the others as planned.

    change is in the goal's unit, below 0 where the goal suffers, None where it is missed; keeps is
    whether drop and limits are still kept to.
    """

    tier: str
    turns: float
    distance_m: float
    change: float | None
    keeps: bool


@dataclass(frozen=True)
class Range:
    """Turns on a tier with which, the others fitting, the goal is within 1 % of the best."""

    tier: str
    low: float
    high: float


def slips(task: Task, found: Found) -> tuple[Slip, ...]:
    rows = [
        (k, off)
        for k, turns in enumerate(found.turns)
        for off in MISWOUND_TURNS
        if turns > 0.0 and turns + off >= 0.0
    ]
    wound = np.array([found.turns + off * np.eye(len(found.turns))[k] for k, off in rows])
    trial = task.tried(wound)
    fits = task.within_drop(wound) & trial.allowed
    change = trial.scores - found.score
    return tuple(
        Slip(
            task.car.drum[k].name,
            off,
            float(trial.runs.distance_m[i]),
            float(change[i]) if np.isfinite(change[i]) else None,
            bool(fits[i]),
        )
        for i, (k, off) in enumerate(rows)
    )


def ranges(task: Task, found: Found) -> tuple[Range, ...]:
    near = found.look.worth >= found.score - task.goal.share(found.score, NEARLY)
    turns = np.concatenate([found.look.turns[near], found.turns[None, :]])
    lows, highs = turns.min(axis=0), turns.max(axis=0)
    return tuple(
        Range(tier.name, float(low), float(high))
        for tier, low, high in zip(task.car.drum, lows, highs, strict=True)
    )


def binding(task: Task, found: Found) -> tuple[str, ...]:
    """The limits that hold the goal back: without that one alone, a better winding would be."""
    look, better = found.look, found.score + task.goal.share(found.score, BINDS)
    names = []
    for name, broken in look.broken.items():
        others = [flags for other, flags in look.broken.items() if other != name]
        only = broken & look.runs.starts & ~np.any(others, axis=0)
        if np.any(look.scores[only] > better):
            names.append(name)
    left = task.car.drop_m * FITS - float(found.turns @ task.turn_m)
    if left < ALL_WOUND * task.car.drop_m and not _met(task, found):
        names.append("drop")
    return tuple(name for name in WORDS if name in names)


def _met(task: Task, found: Found) -> bool:
    """Whether nothing could be better: the mark to stop at is hit."""
    return task.goal.aim is Aim.REACH and -found.score <= A_HIT_M
