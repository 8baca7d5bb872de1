"""A made-up population of cars before their first run: racers on ball bearings, craft-table cars.

Each is made from what its builder picks: bearings, tyres, wheels, string. The friction of each pick
is uniform over the range that tables print for such a pair. Nothing here knows what unspool takes
for likely. All figures are invented.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from unspool.car import Car, Encoder, Losses, Tier, Wheel
from unspool.car.handbook import with_usual_losses
from unspool.car.vehicle import Bearing

EVERY_LOSS = (
    *("rolling_coefficient", "constant_drag_n", "linear_drag_n_s_per_m"),
    *("drive_efficiency", "break_away_coefficient", "tyre_friction"),
)
# Losses that a car file without [losses] gets.
SILENT = Losses(0.012, 0.0, 0.0, 0.9, 0.015, 0.6, EVERY_LOSS)


def racer(rng: np.random.Generator) -> tuple[Car, Car]:
    """The true car, and the car as its file says with all of its bearings and tyres."""
    wheel, shaft = rng.uniform(0.035, 0.075), rng.uniform(0.003, 0.006)
    tyre, rolls = [("rubber", (0.005, 0.014)), ("hard", (0.002, 0.006))][int(rng.integers(2))]
    rolling = rng.uniform(0.0012, 0.012) * 0.5 * shaft / wheel + rng.uniform(*rolls)
    said = Bearing("ball", float(shaft))
    masses = rng.uniform(0.5, 1.5), rng.uniform(0.3, 1.0), rng.uniform(0.4, 0.8)
    return _both(rng, wheel, said, tyre, rolling, rng.uniform(0.84, 0.96), masses)


def craft(rng: np.random.Generator) -> tuple[Car, Car]:
    """As racer: wooden shafts in plastic tubes, or in holes of the body."""
    wheel, shaft = rng.uniform(0.022, 0.06), rng.uniform(0.003, 0.007)
    bore, friction = shaft + rng.uniform(0.0005, 0.002), rng.uniform(0.12, 0.45)
    tyre, rolls = [("rubber", (0.006, 0.016)), ("hard", (0.002, 0.009))][int(rng.integers(2))]
    rolling = friction * 0.5 * shaft / wheel + rng.uniform(*rolls)
    drive = rng.uniform(0.85, 0.95) - friction * shaft / 0.012 / 4.0
    said = Bearing("plain", float(shaft), float(bore))
    masses = rng.uniform(0.2, 0.8), rng.uniform(0.15, 0.6), rng.uniform(0.25, 0.6)
    return _both(rng, wheel, said, tyre, rolling, drive, masses)


def silent(car: Car) -> Car:
    """The same car as a file says it that names neither bearings nor tyres nor losses."""
    wheels = tuple(replace(wheel, bearing=None, tyre=None) for wheel in car.wheels)
    return replace(car, wheels=wheels, losses=SILENT)


def _both(
    rng: np.random.Generator,
    wheel: float,
    bearing: Bearing,
    tyre: str,
    rolling: float,
    efficiency: float,
    masses: tuple[float, float, float],
) -> tuple[Car, Car]:
    body, weight, drop = (float(one) for one in masses)
    inertia = 0.5 * rng.uniform(0.01, 0.04) * wheel**2
    sets = tuple(
        Wheel(name, 2, float(wheel), float(inertia), name == "rear", bearing=bearing, tyre=tyre)
        for name in ("rear", "front")
    )
    losses = Losses(
        float(rolling), float(rng.uniform(0.0, 0.012)), 0.0, float(efficiency),
        float(rolling * rng.uniform(1.05, 1.6)), 0.6,
    )  # fmt: skip
    area = float(rng.uniform(0.004, 0.022))
    car = Car(
        "made up", body, weight, drop, 0.0006, sets, (), Encoder(20, "rear"), losses,
        frontal_area_m2=area, drag_coefficient=1.0,
    )  # fmt: skip
    true = replace(car, drum=_drum(rng, car))
    said = replace(true, losses=SILENT, frontal_area_m2=None, drag_coefficient=None)
    return true, with_usual_losses(said)


def _drum(rng: np.random.Generator, car: Car) -> tuple[Tier, ...]:
    """One tier that starts the car with something to spare, as each builder sees to."""
    losses, wheel = car.losses, car.driven_wheel.radius_m
    hold = losses.break_away_coefficient * car.total_mass_kg + losses.constant_drag_n / 9.8
    least = hold * wheel / (losses.drive_efficiency * car.weight_mass_kg)
    radius = float(min(least * rng.uniform(1.3, 3.0), 0.8 * wheel))
    return (Tier("only", radius, car.drop_m / (2.0 * pi * radius), radius),)
