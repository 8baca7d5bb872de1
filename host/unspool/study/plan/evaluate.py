"""Windings evaluated: predicted, judged by the goal, compared with the limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np

from unspool.car import Car, Track
from unspool.model.batch import BatchPrediction, predict_batch
from unspool.model.batch_params import batch_of_wound_cars
from unspool.model.number import Flags, Floats, Indices
from unspool.study.plan.goal import Goal
from unspool.study.plan.limits import Limits

# Of the drop, for rounding.
FITS = 1.0 + 1e-9
# A hand winds quarter turns by eye, a spoke or a mark at a time (common practice).
TURN_STEP = 0.25
# A tier that is wound for less is not worth its peg, and its start is lost in the peg's play.
LEAST_TURNS = 0.5
# Windings that a thorough search may try: some seconds of work.
AFFORDABLE = 40_000


@dataclass(frozen=True)
class Evaluation:
    """(n, tiers) turns with their runs, and (n,) scores by the goal alone.

    `broken`: (n,) by limit, whether the winding breaks it.
    """

    turns: Floats
    runs: BatchPrediction
    scores: Floats
    broken: dict[str, Flags]

    @cached_property
    def allowed(self) -> Flags:
        """(n,) whether the car starts and no limit is broken."""
        return np.asarray(self.runs.starts & ~np.any(list(self.broken.values()), axis=0))

    @cached_property
    def worth(self) -> Floats:
        """(n,) the scores; minus infinity if the winding is not allowed."""
        return np.where(self.allowed, self.scores, -np.inf)

    @property
    def best(self) -> int:
        return int(np.argmax(self.worth))


@dataclass(frozen=True)
class PlanningTask:
    """A car on a track with a goal and limits: everything but the winding.

    turn_step: turns are to be multiples of it.
    """

    car: Car
    track: Track
    goal: Goal
    limits: Limits
    turn_step: float = TURN_STEP

    @cached_property
    def turn_m(self) -> Floats:
        """(tiers,) string that one turn of each tier takes."""
        return np.array([pi * (tier.radius_m + tier.end_radius_m) for tier in self.car.drum])

    def within_drop(self, turns: Floats) -> Flags:
        return np.asarray(turns @ self.turn_m <= self.car.drop_m * FITS)

    def evaluate(self, turns: Floats) -> Evaluation:
        """Every row predicted, whether or not its string fits the drop."""
        return evaluate_cars([self], np.zeros(len(turns), dtype=np.intp), turns)


def evaluate_cars(tasks: Sequence[PlanningTask], which: Indices, turns: Floats) -> Evaluation:
    """Windings of several cars in one batch: turns (n, tiers), each of the task `which` (n,).

    The tasks differ in nothing but the car, and their drums have equally many tiers.
    """
    track, goal, limits = tasks[0].track, tasks[0].goal, tasks[0].limits
    batch = batch_of_wound_cars([task.car for task in tasks], which, turns, track)
    runs = predict_batch(batch, goal.mark_m)
    return Evaluation(turns, runs, goal.scores(runs), limits.broken(runs))
