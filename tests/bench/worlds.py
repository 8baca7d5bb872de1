"""Worlds that readings are tried in: cars that are not as their files say, by another generator.

The runs come from virtual/truth, which solves each of them as three bodies joined by a string. It
shares no formula with the reading. In every world the file knows no losses, and its wheels are off
by what a calliper leaves open, for every distance holds that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from unspool.car import Car, Losses
from unspool.car.measured import WHEEL_DIAMETER_M, measured
from unspool.model.outcome import EventKind
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, Imperfections, TrueRun, random_car, run

Rng = np.random.Generator
UNKNOWN = (
    "rolling_coefficient",
    "constant_drag_n",
    "linear_drag_n_s_per_m",
    "drive_efficiency",
    "break_away_coefficient",
    "tyre_friction",
)
CLOCK_ESTIMATE_SD = 20e-6
MEASURED_SD = 0.01
CHANGEPOINTS = (EventKind.TIER_CHANGE, EventKind.LANDING, EventKind.RELEASE)


@dataclass(frozen=True)
class Case:
    """A true run, the file that its builder has, and the reading with that file."""

    truth: TrueRun
    file: Car
    reading: Reading

    @property
    def true_m(self) -> np.ndarray:
        """(k,) the changepoints: a weight that has landed leaves no further one."""
        places = []
        for event in self.truth.events:
            if event.kind in CHANGEPOINTS:
                places.append(event.distance_m)
            if event.kind == EventKind.LANDING:
                break
        return np.array(places)

    @property
    def found_m(self) -> np.ndarray:
        return np.array([event.distance_m for event in self._found])

    @property
    def sd_m(self) -> np.ndarray:
        return np.array([event.distance_sd_m for event in self._found])

    @property
    def _found(self) -> list:
        return [event for event in self.reading.events if event.kind in CHANGEPOINTS]

    @property
    def matched(self) -> bool:
        return len(self._found) == len(self.true_m)

    @property
    def in_sds(self) -> np.ndarray:
        """(k,) errors over their sds; only of a matched case."""
        return (self.found_m - self.true_m) / self.sd_m


def hidden(car: Car) -> Car:
    """The car with a file that knows none of its losses: handbook values."""
    return replace(car, losses=Losses(0.012, 0.0, 0.0, 0.9, 0.015, 0.6, UNKNOWN))


def _as_said(car: Car, rng: Rng) -> Car:
    return car


def _losing_drive(car: Car, rng: Rng) -> Car:
    return replace(car, losses=replace(car.losses, drive_efficiency=float(rng.uniform(0.65, 0.8))))


def _linear_drag(car: Car, rng: Rng) -> Car:
    drag = float(rng.uniform(0.01, 0.06))
    return replace(car, losses=replace(car.losses, linear_drag_n_s_per_m=drag))


def _constant_drag(car: Car, rng: Rng) -> Car:
    drag = float(rng.uniform(0.02, 0.08))
    return replace(car, losses=replace(car.losses, constant_drag_n=drag))


def _tapered(car: Car, rng: Rng) -> Car:
    """A tapered tier that goes from the radius before it to the one after it."""
    car = random_car(rng, 3)
    first, middle, last = car.drum
    taper = replace(middle, radius_m=first.radius_m, end_radius_m=last.radius_m)
    turns = middle.string_m / (np.pi * (taper.radius_m + taper.end_radius_m))
    return replace(car, drum=(first, replace(taper, turns=turns), last))


def _mismeasured(file: Car, rng: Rng) -> Car:
    def off(value: float) -> float:
        return value * (1.0 + float(rng.normal(0.0, MEASURED_SD)))

    drum = []
    for tier in file.drum:
        share = off(1.0)
        radii = {"radius_m": share * tier.radius_m, "end_radius_m": share * tier.end_radius_m}
        drum.append(replace(tier, **radii))
    return replace(
        file,
        body_mass_kg=off(file.body_mass_kg),
        weight_mass_kg=off(file.weight_mass_kg),
        drop_m=off(file.drop_m),
        drum=tuple(drum),
    )


def _as_measured(file: Car, rng: Rng) -> Car:
    """Off by what the file states of its measures, or by what usual tools leave open."""
    known = measured(file)
    drum = []
    for tier, sd in zip(file.drum, known.tier_radius_m, strict=True):
        radius_m = tier.radius_m + float(rng.normal(0.0, sd))
        drum.append(replace(tier, radius_m=radius_m, end_radius_m=radius_m))
    return replace(
        file,
        body_mass_kg=file.body_mass_kg + float(rng.normal(0.0, known.body_kg)),
        weight_mass_kg=file.weight_mass_kg + float(rng.normal(0.0, known.weight_kg)),
        drop_m=file.drop_m + float(rng.normal(0.0, known.drop_m)),
        drum=tuple(drum),
    )


def with_other_wheels(file: Car, rng: Rng) -> Car:
    """Off by what a calliper leaves open of their diameters."""
    sd = 0.5 * WHEEL_DIAMETER_M
    wheels = (replace(w, radius_m=w.radius_m + float(rng.normal(0.0, sd))) for w in file.wheels)
    return replace(file, wheels=tuple(wheels))


TRUE_CARS: dict[str, Callable[[Car, Rng], Car]] = {
    "exact": _as_said,
    "loose_catch": _as_said,
    "losing_drive": _losing_drive,
    "linear_drag": _linear_drag,
    "constant_drag": _constant_drag,
    "mismeasured": _as_said,
    "taper": _tapered,
    "as_measured": _as_said,
}


def case(world: str, seed: int) -> Case:
    """One run of a world, read."""
    rng = np.random.default_rng([list(TRUE_CARS).index(world), 11, seed])
    car = TRUE_CARS[world](random_car(rng), rng)
    file = with_other_wheels(hidden(car), rng)
    if world == "mismeasured":
        file = _mismeasured(file, rng)
    if world == "as_measured":
        file = _as_measured(file, rng)
    imperfections = replace(
        USUAL,
        tick_s=0.0,
        handled=int(rng.integers(0, 11)),
        clock_error=float(rng.uniform(-0.005, 0.005)),
        catch=float(rng.uniform(0.7, 1.0)) if world == "loose_catch" else 1.0,
    )
    truth = run(car, imperfections=imperfections, seed=seed)
    return Case(truth, file, analyse(corrected(truth, imperfections), file))


def corrected(truth: TrueRun, imperfections: Imperfections) -> PulseTrain:
    """The train on a clock corrected as the recorder corrects it."""
    off = np.random.default_rng([truth.seed, 9]).normal(0.0, CLOCK_ESTIMATE_SD)
    rate = (1.0 + imperfections.clock_error) * (1.0 + off)
    return replace(truth.train, time_s=truth.train.time_s / rate)
