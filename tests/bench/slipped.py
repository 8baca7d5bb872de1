"""Runs of a driven wheel that slipped by one share of its way as long as the string pulled.

They are made from runs without slip: the wheel, and with it the drum, turns further than the car by
that share until the drive ends. The levers that the string had are then wrong by the same share,
as by a drive that loses so much more.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.car import Car, Encoder
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth import USUAL, TrueRun, run

DRIVE_ENDS = ("landing", "release")


def slipped(car: Car, driven: bool, share: float, seed: int) -> tuple[Car, PulseTrain] | None:
    """The car as it was wound, and the edges of a wheel of its driven or of its free axle.

    share: how much further the driven wheel turns than the car goes. None if the string does not
    let go.
    """
    axle = next(wheel.name for wheel in car.wheels if wheel.driven == driven)
    car = replace(car, encoder=Encoder(car.encoder.pulses_per_turn, axle))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)
    if {event.kind for event in truth.events}.isdisjoint(DRIVE_ENDS):
        return None
    wound = car.wound(tuple((1.0 + share) * tier.turns for tier in car.drum))
    return wound, _edges(truth, share) if driven else truth.train


def _edges(truth: TrueRun, share: float) -> PulseTrain:
    """Of the driven wheel."""
    end = min(event.distance_m for event in truth.events if event.kind in DRIVE_ENDS)
    rolled = truth.distance_m + share * np.minimum(truth.distance_m, end)
    places = truth.disc.between(0.0, float(rolled[-1]))[1]
    rng = np.random.default_rng([truth.seed, 31])
    stamps = truth.launch_s + np.interp(places, rolled, truth.time_s)
    stamps += rng.normal(0.0, truth.imperfections.jitter_s, len(stamps))
    n = len(stamps)
    return PulseTrain(np.sort(stamps), np.ones(n, dtype=np.int8), np.arange(n, dtype=np.int64))
