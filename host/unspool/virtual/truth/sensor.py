"""What the sensor and its clock make of the disc's edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import OdeSolution
from scipy.optimize import elementwise

from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth.disc import TrueDisc
from unspool.virtual.truth.imperfections import Imperfections

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SensorEdges:
    """Edges that pass the sensor, in time order, all (n,): true time in s from the launch, edge of
    the disc, direction.
    """

    time_s: Floats
    edge: NDArray[np.int64]
    direction: NDArray[np.int8]

    def __add__(self, other: SensorEdges) -> SensorEdges:
        return SensorEdges(
            np.concatenate([self.time_s, other.time_s]),
            np.concatenate([self.edge, other.edge]),
            np.concatenate([self.direction, other.direction]),
        )


def no_edges() -> SensorEdges:
    return SensorEdges(np.zeros(0), np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int8))


def edges_of_leg(leg: OdeSolution, row: int, disc: TrueDisc) -> SensorEdges:
    """The edges that pass in one leg; `row` of its state is what the encoder's wheel rolled."""
    rolled = np.asarray(leg(leg.ts)[row])
    low, high = float(rolled.min()), float(rolled.max())
    edges, places = disc.between(low, high)
    direction = 1 if rolled[-1] >= rolled[0] else -1
    if direction < 0:
        edges, places, rolled = edges[::-1], places[::-1], -rolled
    # It rises, up to the solver's tolerance; the bracket must not suffer from the rest.
    rolled = np.maximum.accumulate(rolled)
    step = np.clip(np.searchsorted(rolled, direction * places), 1, len(rolled) - 1)
    if not len(edges):
        return no_edges()
    times = _crossing(leg, row, places, leg.ts[step - 1], leg.ts[step])
    return SensorEdges(times, edges, np.full(len(edges), direction, dtype=np.int8))


def _crossing(leg: OdeSolution, row: int, places: Floats, before: Floats, after: Floats) -> Floats:
    def miss(time: Floats, place: Floats) -> Floats:
        return np.asarray(leg(np.atleast_1d(time))[row] - place)

    found = elementwise.find_root(miss, (before, after), args=(places,))
    # An edge on the very end of a leg has no sign change to find: it passes as the leg ends.
    return np.asarray(np.where(found.success, found.x, after))


def handled(edges: int, rng: np.random.Generator) -> SensorEdges:
    """A hand moves the wheel to and fro before the launch and leaves it where it was."""
    moves = rng.permutation(np.repeat([1, -1], edges // 2))
    ends = -rng.uniform(0.4, 1.2)
    times = ends - np.cumsum(rng.uniform(0.03, 0.4, len(moves)))[::-1]
    after = np.cumsum(moves)
    # Forward into gap g the wheel passes edge g - 1; back into it, it passes edge g.
    passed = np.where(moves > 0, after - 1, after)
    return SensorEdges(times, passed.astype(np.int64), moves.astype(np.int8))


def chatter(edges: int, last: SensorEdges, stop_s: float, rng: np.random.Generator) -> SensorEdges:
    """The sensor flickers on the edge at which the car came to rest."""
    if not len(last.edge):
        return no_edges()
    times = stop_s + np.cumsum(rng.exponential(0.03, edges))
    directions = -int(last.direction[-1]) * np.where(np.arange(edges) % 2, -1, 1)
    return SensorEdges(times, np.full(edges, last.edge[-1]), directions.astype(np.int8))


@dataclass(frozen=True)
class TrueClock:
    """The board's clock: its reading at the launch, and how much too fast it runs, as a share."""

    launch_s: float
    error: float

    def reading(self, true_s: Floats | float) -> Floats:
        """What it shows at a true time from the launch."""
        return np.asarray(self.launch_s + np.asarray(true_s) * (1.0 + self.error))

    def true(self, reading_s: Floats | float) -> Floats:
        """The true time from the launch at which it shows this."""
        return np.asarray((np.asarray(reading_s) - self.launch_s) / (1.0 + self.error))


def sensed(
    passed: SensorEdges, clock: TrueClock, imperfections: Imperfections, rng: np.random.Generator
) -> tuple[PulseTrain, NDArray[np.intp]]:
    """The train that the board gives, and for each of its edges the index in `passed`."""
    n = len(passed.time_s)
    seen = np.flatnonzero(rng.random(n) >= imperfections.missed)
    stamps = clock.reading(passed.time_s) + rng.normal(0.0, 1.0, n) * imperfections.jitter_s
    if imperfections.tick_s:
        stamps = np.floor(stamps / imperfections.tick_s) * imperfections.tick_s
    number = np.arange(len(seen), dtype=np.int64)
    kept = rng.random(len(seen)) >= imperfections.lost
    seen, number = seen[kept], number[kept]
    # A board stamps in order: jitter never puts one edge before another.
    times = np.maximum.accumulate(stamps[seen]) if len(seen) else stamps[seen]
    return PulseTrain(times, passed.direction[seen], number), seen
