"""What the sensor and its clock make of the disc's edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import OdeSolution
from scipy.optimize import elementwise

from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth.disc import Disc
from unspool.virtual.truth.imperfections import Spoil

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Passings:
    """Edges passing the sensor, in time order, all (n,): true time in s from the launch, edge of
    the disc, direction.
    """

    time_s: Floats
    edge: NDArray[np.int64]
    direction: NDArray[np.int8]

    def __add__(self, other: Passings) -> Passings:
        return Passings(
            np.concatenate([self.time_s, other.time_s]),
            np.concatenate([self.edge, other.edge]),
            np.concatenate([self.direction, other.direction]),
        )


def passings(times: list[float], edges: list[int], directions: list[int]) -> Passings:
    return Passings(
        np.array(times, dtype=np.float64),
        np.array(edges, dtype=np.int64),
        np.array(directions, dtype=np.int8),
    )


def leg_passings(leg: OdeSolution, row: int, disc: Disc) -> Passings:
    """The edges that come by in one leg; `row` of its state is the encoder wheel's rolled way."""
    ways = np.asarray(leg(leg.ts)[row])
    low, high = float(ways.min()), float(ways.max())
    edges, places = disc.between(low, high)
    sense = 1 if ways[-1] >= ways[0] else -1
    if sense < 0:
        edges, places, ways = edges[::-1], places[::-1], -ways
    # Monotone up to the solver's tolerance; the bracket must not suffer from the rest.
    ways = np.maximum.accumulate(ways)
    step = np.clip(np.searchsorted(ways, sense * places), 1, len(ways) - 1)
    if not len(edges):
        return passings([], [], [])
    times = _crossing(leg, row, places, leg.ts[step - 1], leg.ts[step])
    return Passings(times, edges, np.full(len(edges), sense, dtype=np.int8))


def _crossing(leg: OdeSolution, row: int, places: Floats, before: Floats, after: Floats) -> Floats:
    def miss(time: Floats, place: Floats) -> Floats:
        return np.asarray(leg(np.atleast_1d(time))[row] - place)

    found = elementwise.find_root(miss, (before, after), args=(places,))
    # An edge on the very end of a leg has no sign change to find: it passes as the leg ends.
    return np.asarray(np.where(found.success, found.x, after))


def handled(edges: int, rng: np.random.Generator) -> Passings:
    """A hand moves the wheel to and fro before the launch and leaves it where it was."""
    moves = rng.permutation(np.repeat([1, -1], edges // 2))
    ends = -rng.uniform(0.4, 1.2)
    times = ends - np.cumsum(rng.uniform(0.03, 0.4, len(moves)))[::-1]
    after = np.cumsum(moves)
    # Going forward into gap g passes edge g - 1; going back into it passes edge g.
    passed = np.where(moves > 0, after - 1, after)
    return Passings(times, passed.astype(np.int64), moves.astype(np.int8))


def chatter(edges: int, last: Passings, stop_s: float, rng: np.random.Generator) -> Passings:
    """The sensor flickers on the edge at which the car came to rest."""
    if not len(last.edge):
        return passings([], [], [])
    times = stop_s + np.cumsum(rng.exponential(0.03, edges))
    senses = -int(last.direction[-1]) * np.where(np.arange(edges) % 2, -1, 1)
    return Passings(times, np.full(edges, last.edge[-1]), senses.astype(np.int8))


@dataclass(frozen=True)
class Clock:
    """The board's clock: its reading at the launch, and how much too fast it runs."""

    launch_s: float
    error: float

    def reading(self, true_s: Floats | float) -> Floats:
        return np.asarray(self.launch_s + np.asarray(true_s) * (1.0 + self.error))

    def true(self, reading_s: Floats | float) -> Floats:
        return np.asarray((np.asarray(reading_s) - self.launch_s) / (1.0 + self.error))


def sensed(
    passed: Passings, clock: Clock, spoil: Spoil, rng: np.random.Generator
) -> tuple[PulseTrain, NDArray[np.intp]]:
    """The train that the board gives, and for each of its edges the passing that made it."""
    n = len(passed.time_s)
    seen = np.flatnonzero(rng.random(n) >= spoil.missed)
    stamps = clock.reading(passed.time_s) + rng.normal(0.0, 1.0, n) * spoil.jitter_s
    if spoil.tick_s:
        stamps = np.floor(stamps / spoil.tick_s) * spoil.tick_s
    number = np.arange(len(seen), dtype=np.int64)
    kept = rng.random(len(seen)) >= spoil.lost
    seen, number = seen[kept], number[kept]
    # A board stamps in order: jitter never puts one edge before another.
    times = np.maximum.accumulate(stamps[seen]) if len(seen) else stamps[seen]
    return PulseTrain(times, passed.direction[seen], number), seen
