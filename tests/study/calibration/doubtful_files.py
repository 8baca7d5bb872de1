"""Cars whose files say another weight or wheel than they have, with a tape beside each run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from study.calibration.hidden_runs import hidden
from study.calibration.loss_worlds import Rng, Turns, another_day, any_car
from unspool.car import FLAT, Car
from unspool.reading.events import analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.calibration.types import EFFICIENCY, TERMS
from unspool.virtual import truth
from unspool.virtual.truth import USUAL

TAPE_SD = 0.002  # of a tape by hand, as a share
CLOCK = replace(USUAL, clock_error=0.0)  # as the recorder corrects it


def other_weight(car: Car, share: float) -> Car:
    """The file of a car whose weight is heavier by this share than it says."""
    return replace(car, weight_mass_kg=car.weight_mass_kg / (1.0 + share))


def other_wheel(car: Car, share: float) -> Car:
    """The file of a car whose wheels are larger by this share than it says."""
    wheels = (replace(wheel, radius_m=wheel.radius_m / (1.0 + share)) for wheel in car.wheels)
    return replace(car, wheels=tuple(wheels))


FILES: dict[str, Callable[[Car], Car]] = {
    "exact": lambda car: car,
    "weight_5_heavier": lambda car: other_weight(car, 0.05),
    "weight_5_lighter": lambda car: other_weight(car, -0.05),
    "wheel_3_larger": lambda car: other_wheel(car, 0.03),
    "wheel_3_smaller": lambda car: other_wheel(car, -0.03),
}


@dataclass(frozen=True)
class Hints:
    """What is found of one car with each file.

    stated: the file states the drive that an earlier calibration found. taped: with a tape beside
    each run.
    """

    alone: Calibration
    stated: Calibration
    taped: Calibration


def hints(name: str, seed: int) -> Hints:
    rng, car, turns = _one(seed)
    before = calibrate(_runs(car, hidden(car), turns, rng)).terms[EFFICIENCY].value
    runs = _runs(car, FILES[name](hidden(car)), turns, rng)
    without = [replace(run, taped_m=None) for run in runs]
    stated = [replace(run, car=stating(run.car, before)) for run in without]
    return Hints(calibrate(without), calibrate(stated), calibrate(runs))


def stated_runs(name: str, seed: int) -> list[CalibrationRun]:
    """Two runs with a file that states the drive as it is."""
    rng, car, turns = _one(seed)
    runs = _runs(car, FILES[name](hidden(car)), turns[:2], rng)
    return [replace(run, car=stating(run.car, car.losses.drive_efficiency)) for run in runs]


def _one(seed: int) -> tuple[Rng, Car, tuple[Turns, ...]]:
    rng = np.random.default_rng([13, seed])
    car, (first, second, _) = any_car(rng)
    return rng, car, (first, second, first)


def stating(car: Car, efficiency: float) -> Car:
    """The file of a builder who wrote this efficiency into it."""
    assumed = tuple(name for name in car.losses.assumed if name != TERMS[EFFICIENCY])
    return replace(car, losses=replace(car.losses, drive_efficiency=efficiency, assumed=assumed))


def _runs(car: Car, file: Car, windings: tuple[Turns, ...], rng: Rng) -> list[CalibrationRun]:
    found = []
    for i, turns in enumerate(windings):
        day, said = another_day(car, rng).wound(turns), file.wound(turns)
        true = truth.run(day, imperfections=CLOCK, seed=int(rng.integers(1 << 30)))
        tape = true.rest_m * (1.0 + TAPE_SD * float(rng.standard_normal()))
        reading = analyse(true.train, said)
        found.append(CalibrationRun(reading, said, FLAT, turns, f"run {i}", taped_m=tape))
    return found
