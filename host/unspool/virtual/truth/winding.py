"""The edges of winding by hand: the wheel turns backwards in strokes."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth.run import TrueRun
from unspool.virtual.truth.sensor import SensorEdges, sensed

STROKE_TURNS = 0.6  # a hand's reach
STROKE_S = 0.7
PAUSE_S = 0.4


def winding_train(run: TrueRun, before_s: float = 10.0) -> PulseTrain:
    """Edges of winding this run's drum, on the same disc and clock; the last of them `before_s`
    before the launch. The wheel is turned on the floor, or in the hand together with the encoder's
    axle.
    """
    rng = np.random.default_rng([run.seed, 3])
    wheel = run.car.driven_wheel.radius_m
    distance = 2.0 * pi * wheel * sum(tier.turns for tier in run.car.drum)
    edges, places = run.disc.between(0.0, distance)
    wound = (distance - places[::-1]) / distance
    times = _hand(wound, distance / (2.0 * pi * wheel), rng)
    directions = np.full(len(edges), -1, dtype=np.int8)
    passed = SensorEdges(times - times[-1] - before_s, edges[::-1], directions)
    return sensed(passed, run.clock, run.imperfections, rng)[0]


def _hand(
    share: NDArray[np.float64], turns: float, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Times in s at which these shares of all turns are wound, stroke by stroke."""
    stroke = share * turns / STROKE_TURNS
    done = np.floor(stroke)
    paces = rng.uniform(0.8, 1.3, int(done.max()) + 1)
    begins = np.concatenate([[0.0], np.cumsum(paces * STROKE_S + PAUSE_S)])
    # A stroke starts and ends at rest: it turns by (1 - cos) / 2 of its time.
    inside = np.arccos(1.0 - 2.0 * (stroke - done)) / pi
    which = done.astype(np.intp)
    return np.asarray(begins[which] + inside * paces[which] * STROKE_S)


def session_train(run: TrueRun, before_s: float = 10.0) -> PulseTrain:
    """Winding and run in one train, numbered on, as a board that watched both gives it."""
    winding, after = winding_train(run, before_s), run.train
    first = int(winding.number[-1]) + 1 if len(winding) else 0
    return PulseTrain(
        np.concatenate([winding.time_s, after.time_s]),
        np.concatenate([winding.direction, after.direction]),
        np.concatenate([winding.number, after.number + first]),
    )
