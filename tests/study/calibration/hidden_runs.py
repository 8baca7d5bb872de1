"""Runs to calibrate from, by the truth generator: known losses, hidden from the calibration."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from unspool.car import FLAT, Car, Losses, Track
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.study.calibration import CalibrationRun
from unspool.virtual.truth import USUAL, Imperfections, run

# What a car file without [losses] stands for.
HANDBOOK = Losses(
    rolling_coefficient=0.012,
    constant_drag_n=0.0,
    linear_drag_n_s_per_m=0.0,
    drive_efficiency=0.9,
    break_away_coefficient=0.015,
    tyre_friction=0.6,
    assumed=(
        "rolling_coefficient",
        "constant_drag_n",
        "linear_drag_n_s_per_m",
        "drive_efficiency",
        "break_away_coefficient",
        "tyre_friction",
    ),
)


def hidden(car: Car) -> Car:
    """The car as a builder describes it, who knows nothing of its losses or its drag."""
    return replace(car, losses=HANDBOOK, frontal_area_m2=None, drag_coefficient=None)


def measured(
    car: Car,
    name: str = "run",
    seed: int = 0,
    track: Track = FLAT,
    imperfections: Imperfections = USUAL,
) -> CalibrationRun:
    """A true run of `car`, with its losses hidden."""
    reading = _reading(car, seed, track, imperfections)
    return CalibrationRun(reading, hidden(car), track, None, name)


@lru_cache(maxsize=256)
def _reading(car: Car, seed: int, track: Track, imperfections: Imperfections) -> Reading:
    return analyse(run(car, track, imperfections, seed).train, hidden(car), track)


def with_train(given: CalibrationRun, train: PulseTrain) -> CalibrationRun:
    """The run as these edges show it."""
    reading = analyse(train, given.car, given.track, given.winding)
    return replace(given, reading=reading)


def part(given: CalibrationRun, kept: slice) -> CalibrationRun:
    """The run as some of its edges show it."""
    train = given.reading.motion.train
    return with_train(
        given, PulseTrain(train.time_s[kept], train.direction[kept], train.number[kept])
    )


def turns(car: Car, share: float) -> Car:
    """The car wound less on all its tiers."""
    return car.wound(tuple(tier.turns * share for tier in car.drum))


def varied(car: Car, scatter: float, rng: np.random.Generator) -> Car:
    """The car on another day: its rolling differs by `scatter`, its drive by half of it."""
    losses = car.losses
    rolling = losses.rolling_coefficient * float(np.exp(scatter * rng.normal()))
    efficiency = losses.drive_efficiency * float(np.exp(0.5 * scatter * rng.normal()))
    hold = max(losses.break_away_coefficient, rolling)
    changed = replace(
        losses,
        rolling_coefficient=rolling,
        drive_efficiency=min(efficiency, 0.999),
        break_away_coefficient=hold,
    )
    return replace(car, losses=changed)
