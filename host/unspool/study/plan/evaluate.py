"""Windings tried: predicted, judged by the goal, held against the limits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np

from unspool.car import Car, Track
from unspool.model.batch import BatchPrediction, predict_windings
from unspool.model.margins import margins
from unspool.model.number import Floats
from unspool.model.outcome import EventKind
from unspool.model.params import params_of
from unspool.model.predict import first_pass
from unspool.model.simulate import simulate
from unspool.study.plan.goal import Goal
from unspool.study.plan.limits import Flags, Limits

# Of the drop, for rounding.
FITS = 1.0 + 1e-9


@dataclass(frozen=True)
class Trial:
    """(n, tiers) turns with their outcomes; scores (n,) by the goal alone, worth (n,) minus
    infinity too where a limit is broken.
    """

    turns: Floats
    runs: BatchPrediction
    scores: Floats
    broken: dict[str, Flags]

    @cached_property
    def allowed(self) -> Flags:
        return np.asarray(self.runs.starts & ~np.any(list(self.broken.values()), axis=0))

    @cached_property
    def worth(self) -> Floats:
        return np.where(self.allowed, self.scores, -np.inf)

    @property
    def best(self) -> int:
        return int(np.argmax(self.worth))


@dataclass(frozen=True)
class Task:
    """A car on a track with a goal and limits: everything but the winding."""

    car: Car
    track: Track
    goal: Goal
    limits: Limits

    @cached_property
    def turn_m(self) -> Floats:
        """(tiers,) string that one turn of each tier takes."""
        return np.array([pi * (tier.radius_m + tier.end_radius_m) for tier in self.car.drum])

    @property
    def closed(self) -> bool:
        """Whether closed forms hold, so that a hundred thousand windings take seconds."""
        return not (
            self.car.losses.linear_drag_n_s_per_m or any(tier.tapered for tier in self.car.drum)
        )

    @property
    def affordable(self) -> int:
        """Windings that a thorough look may try."""
        return 40_000 if self.closed else 160

    def within_drop(self, turns: Floats) -> Flags:
        return np.asarray(turns @ self.turn_m <= self.car.drop_m * FITS)

    def tried(self, turns: Floats) -> Trial:
        """Every row predicted, whether or not its string fits the drop."""
        mark = self.goal.mark_m
        if self.closed:
            runs = predict_windings(self.car, turns, self.track, mark)
        else:
            runs = _one_by_one(self.car, turns, self.track, mark)
        return Trial(turns, runs, self.goal.scores(runs), self.limits.broken(runs))


def _one_by_one(car: Car, turns: Floats, track: Track, mark_m: float | None) -> BatchPrediction:
    rows = [_row(car.wound(tuple(row)), track, mark_m) for row in turns.tolist()]
    told = {name: np.array([row[name] for row in rows], dtype=np.float64) for name in rows[0]}
    return BatchPrediction(
        starts=told["start_margin"] > 1.0,
        start_margin=told["start_margin"],
        distance_m=told["distance_m"],
        furthest_m=told["furthest_m"],
        duration_s=told["duration_s"],
        peak_speed_m_s=told["peak_speed_m_s"],
        release_m=told["release_m"],
        mark_s=told["mark_s"],
        peak_tension_n=told["peak_tension_n"],
        string_margin=told["string_margin"],
        traction_margin=told["traction_margin"],
        tipping_margin=told["tipping_margin"],
        energy_j={},
    )


def _row(car: Car, track: Track, mark_m: float | None) -> dict[str, float | None]:
    run = simulate(params_of(car, track))
    limits = margins(car, run)
    released = [event.distance_m for event in run.events if event.kind is EventKind.RELEASE]
    return {
        "start_margin": run.start_margin,
        "distance_m": run.rest_m,
        "furthest_m": run.furthest_m,
        "duration_s": run.rest_s,
        "peak_speed_m_s": max((max(p.segment.v0, p.segment.v1) for p in run.segments), default=0.0),
        "release_m": released[0] if released else None,
        "mark_s": None if mark_m is None else first_pass(run, mark_m),
        "peak_tension_n": limits.peak_tension_n,
        "string_margin": limits.string,
        "traction_margin": limits.traction,
        "tipping_margin": limits.tipping,
    }
