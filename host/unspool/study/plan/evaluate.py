"""Windings evaluated: predicted, judged by the goal, compared with the limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np

from unspool.car import Car, Track
from unspool.model.batch import BatchPrediction, predict_windings
from unspool.model.margins import margins
from unspool.model.number import Flags, Floats
from unspool.model.outcome import EventKind
from unspool.model.params import params_of
from unspool.model.predict import first_pass
from unspool.model.simulate import simulate
from unspool.study.plan.goal import Goal
from unspool.study.plan.limits import Limits

# Of the drop, for rounding.
FITS = 1.0 + 1e-9
# A hand winds quarter turns by eye, a spoke or a mark at a time (common practice).
TURN_STEP = 0.25
# A tier that is wound for less is not worth its peg, and its start is lost in the peg's play.
LEAST_TURNS = 0.5
# Windings that a thorough search may try: some seconds of work, in closed form or solved.
AFFORDABLE, AFFORDABLE_SOLVED = 40_000, 160


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

    @property
    def has_closed_form(self) -> bool:
        """Whether closed forms hold, so that a hundred thousand windings take seconds."""
        return not (
            self.car.losses.linear_drag_n_s_per_m or any(tier.tapered for tier in self.car.drum)
        )

    @property
    def affordable(self) -> int:
        """Windings that a thorough search may try."""
        return AFFORDABLE if self.has_closed_form else AFFORDABLE_SOLVED

    def within_drop(self, turns: Floats) -> Flags:
        return np.asarray(turns @ self.turn_m <= self.car.drop_m * FITS)

    def evaluate(self, turns: Floats) -> Evaluation:
        """Every row predicted, whether or not its string fits the drop."""
        mark = self.goal.mark_m
        if self.has_closed_form:
            runs = predict_windings(self.car, turns, self.track, mark)
        else:
            runs = _one_by_one(self.car, turns, self.track, mark)
        return Evaluation(turns, runs, self.goal.scores(runs), self.limits.broken(runs))


def _one_by_one(car: Car, turns: Floats, track: Track, mark_m: float | None) -> BatchPrediction:
    rows = [_row(car.wound(tuple(row)), track, mark_m) for row in turns.tolist()]
    columns = {name: np.array([row[name] for row in rows], dtype=np.float64) for name in rows[0]}
    return BatchPrediction(starts=columns["start_margin"] > 1.0, energy_j={}, **columns)


def _row(car: Car, track: Track, mark_m: float | None) -> dict[str, float | None]:
    run = simulate(params_of(car, track))
    least = margins(car, run)
    released = [event.distance_m for event in run.events if event.kind is EventKind.RELEASE]
    return {
        "start_margin": run.start_margin,
        "distance_m": run.rest_m,
        "furthest_m": run.furthest_m,
        "duration_s": run.rest_s,
        "peak_speed_m_s": max((max(p.segment.v0, p.segment.v1) for p in run.segments), default=0.0),
        "release_m": released[0] if released else None,
        "mark_s": None if mark_m is None else first_pass(run, mark_m),
        "peak_tension_n": least.peak_tension_n,
        "string_margin": least.string,
        "traction_margin": least.traction,
        "tipping_margin": least.tipping,
    }
