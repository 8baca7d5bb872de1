"""Cars of different sizes, each wound in many ways: the best way of each, and what limits it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from unspool.car import Car, Track
from unspool.model.batch import predict_batch
from unspool.model.batch_params import batch_of_wound_cars
from unspool.model.number import Flags, Floats, Indices
from unspool.study.plan import Aim, Goal, Limits
from unspool.study.plan.evaluate import FITS
from unspool.study.plan.flatness import ALL_WOUND, BINDS
from unspool.study.plan.goal import A_HIT_M
from unspool.study.plan.grid import shares, windable
from unspool.study.plan.limits import NAMES
from unspool.study.sweep.types import ALL_WOUND as DROP
from unspool.study.sweep.types import LIMITS, NOTHING

# For a mark to stop at: so much more or less of the best winding, in so many steps, is tried, too.
ABOUT, ABOUT_STEPS = 0.05, 41


@dataclass(frozen=True)
class Judged:
    """(n,) each, one entry a car; as in Sweep."""

    score: Floats
    distance_m: Floats
    possible: Flags
    limit: Indices


@dataclass(frozen=True)
class _Tried:
    """Every car in every way: (cars, ways), turns (cars, ways, tiers).

    left: the share of the drop that is not wound. worth: the score, minus infinity if not allowed.
    """

    turns: Floats
    left: Floats
    starts: Flags
    score: Floats
    distance_m: Floats
    broken: dict[str, Flags]

    @property
    def worth(self) -> Floats:
        allowed = self.starts & ~np.any(list(self.broken.values()), axis=0)
        return np.where(allowed, self.score, -np.inf)

    def best(self, values: Floats) -> Floats:
        """(cars, ...) of (cars, ways, ...): those of each car's best way."""
        return np.asarray(values[np.arange(len(values)), np.argmax(self.worth, axis=1)])


def judge(cars: Sequence[Car], track: Track, goal: Goal, limits: Limits, windings: int) -> Judged:
    """Each car with at most `windings` windings, but always with each tier by itself.

    The cars have equally many tiers, and each drum is smaller than its wheel.
    """
    tried = _tried(cars, _windings(cars, windings), track, goal, limits)
    score, distance = tried.best(tried.worth), tried.best(tried.distance_m)
    possible = np.isfinite(score)
    if goal.aim is Aim.REACH:
        nearer = _tried(cars, _about(tried.best(tried.turns)), track, goal, limits)
        better = nearer.best(nearer.worth) > score
        score = np.where(better, nearer.best(nearer.worth), score)
        distance = np.where(better, nearer.best(nearer.distance_m), distance)
    why = np.where(possible, _holds_back(goal, tried, score), _stands_in_the_way(tried))
    return Judged(score, np.where(possible, distance, np.nan), possible, why)


def _tried(cars: Sequence[Car], turns: Floats, track: Track, goal: Goal, limits: Limits) -> _Tried:
    count, ways, tiers = turns.shape
    rows = np.repeat(np.arange(count), ways)
    batch = batch_of_wound_cars(cars, rows, turns.reshape(-1, tiers), track)
    runs = predict_batch(batch, goal.mark_m)
    left = 1.0 - np.sum(turns * _turn_m(cars)[:, None, :], axis=2) / _drops(cars)[:, None]
    fits = (left >= 1.0 - FITS) & np.any(turns > 0.0, axis=2)
    return _Tried(
        turns=turns,
        left=left,
        starts=runs.starts.reshape(count, ways) & fits,
        score=np.where(fits, goal.scores(runs).reshape(count, ways), -np.inf),
        distance_m=goal.distances(runs).reshape(count, ways),
        broken={name: one.reshape(count, ways) for name, one in limits.broken(runs).items()},
    )


def _turn_m(cars: Sequence[Car]) -> Floats:
    """(cars, tiers) string that one turn takes."""
    return np.array([[pi * (t.radius_m + t.end_radius_m) for t in car.drum] for car in cars])


def _drops(cars: Sequence[Car]) -> Floats:
    return np.array([car.drop_m for car in cars])


def _windings(cars: Sequence[Car], most: int) -> Floats:
    """(cars, ways, tiers) turns: shares of the drop, and half a turn or more on a tier."""
    spread = shares(len(cars[0].drum), most)
    return windable(spread[None] * _drops(cars)[:, None, None] / _turn_m(cars)[:, None, :])


def _about(turns: Floats) -> Floats:
    """(cars, ways, tiers) with a little more or less of the same winding, (cars, tiers)."""
    factors = np.linspace(1.0 - ABOUT, 1.0 + ABOUT, ABOUT_STEPS)
    return windable(turns[:, None, :] * factors[:, None])


def _holds_back(goal: Goal, tried: _Tried, best: Floats) -> Indices:
    """(cars,) the limit without which alone the goal would gain most, or all string is wound."""
    gains = [_gain(tried, best, name) for name in NAMES]
    most = np.max(gains, axis=0)
    enough = np.array([goal.tolerance(one, BINDS) if np.isfinite(one) else 0.0 for one in best])
    whole = np.where(tried.best(tried.left) < ALL_WOUND, DROP, NOTHING)
    if goal.aim is Aim.REACH:
        hit = -best <= A_HIT_M
        return np.where(hit, NOTHING, np.where(most > enough, np.argmax(gains, axis=0), whole))
    return np.where(most > enough, np.argmax(gains, axis=0), whole)


def _gain(tried: _Tried, best: Floats, name: str) -> Floats:
    """(cars,) what the goal would gain without that limit."""
    others = [flags for other, flags in tried.broken.items() if other != name]
    only = tried.starts & tried.broken[name] & ~np.any(others, axis=0)
    free = np.max(np.where(only, tried.score, -np.inf), axis=1)
    gain = np.full(len(best), -np.inf)
    both = np.isfinite(free) & np.isfinite(best)
    gain[both] = free[both] - best[both]
    return gain


def _stands_in_the_way(tried: _Tried) -> Indices:
    """(cars,) the limit that most windings break; the start margin if nothing starts the car."""
    counts = np.array([np.sum(tried.broken[name] & tried.starts, axis=1) for name in NAMES])
    why = np.argmax(counts, axis=0)
    return np.where(np.any(tried.starts, axis=1), why, LIMITS.index("start_margin"))
