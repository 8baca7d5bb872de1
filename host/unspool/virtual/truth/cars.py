"""Random cars of the kinds that builders plausibly build."""

from __future__ import annotations

from math import pi

import numpy as np

from unspool.car import Car, Encoder, Geometry, Losses, Pulley, Tier, Wheel

_RATIOS = (1.15, 2.5)  # radius of a tier over the next one's; invented


def random_car(rng: np.random.Generator, tiers: int | None = None) -> Car:
    """A car that starts on a level floor: 1 to 4 tiers, each smaller than the one before it.

    Each tier pulls harder than what holds the car at rest: no builder keeps one that does not.
    """
    while True:
        car = _draft(rng, tiers or int(rng.integers(1, 5)))
        if _margin(car, car.drum[0]) > 1.2 and _margin(car, car.drum[-1]) > 1.0:
            return car


def _margin(car: Car, tier: Tier) -> float:
    pull = car.losses.drive_efficiency * car.weight_mass_kg * tier.radius_m
    hold = car.losses.break_away_coefficient * car.total_mass_kg
    return pull / car.driven_wheel.radius_m / (hold + car.losses.constant_drag_n / 9.8)


def _draft(rng: np.random.Generator, tiers: int) -> Car:
    wheel = float(rng.uniform(0.04, 0.11))
    weight = float(rng.uniform(0.2, 1.0))
    drop = float(rng.uniform(0.3, 0.8))
    rolling = float(rng.uniform(0.005, 0.02))
    return Car(
        name="random",
        body_mass_kg=float(rng.uniform(0.5, 2.0)),
        weight_mass_kg=weight,
        drop_m=drop,
        string_diameter_m=0.0006,
        wheels=(
            Wheel("rear", 2, wheel, float(rng.uniform(0.01, 0.06)) * wheel**2 / 2.0, True),
            Wheel("front", 2, wheel, float(rng.uniform(0.01, 0.06)) * wheel**2 / 2.0, False),
        ),
        drum=_drum(rng, tiers, wheel, drop),
        encoder=Encoder(int(rng.integers(10, 41)), str(rng.choice(["rear", "front"]))),
        losses=Losses(
            rolling_coefficient=rolling,
            constant_drag_n=float(rng.uniform(0.0, 0.02)),
            linear_drag_n_s_per_m=0.0,
            drive_efficiency=float(rng.uniform(0.8, 0.98)),
            break_away_coefficient=rolling * float(rng.uniform(1.0, 1.5)),
            tyre_friction=0.6,
        ),
        frontal_area_m2=float(rng.uniform(0.005, 0.03)),
        drag_coefficient=float(rng.uniform(0.6, 1.2)),
        breaking_load_n=float(rng.uniform(60.0, 200.0)),
        pulley=Pulley(0.015, float(rng.uniform(0.0, 2e-6))),
        geometry=Geometry(0.34, float(rng.uniform(0.1, 0.2)), float(rng.uniform(0.08, 0.2))),
    )


def _drum(rng: np.random.Generator, tiers: int, wheel: float, drop: float) -> tuple[Tier, ...]:
    """Tiers whose string adds up to 0.9 to 1.05 of the drop, in uneven shares."""
    radius = wheel * float(rng.uniform(0.2, 0.5))
    string = drop * float(rng.uniform(0.9, 1.05)) * rng.dirichlet(np.full(tiers, 6.0))
    drum = []
    for k, length in enumerate(string):
        turns = float(length) / (2.0 * pi * radius)
        drum.append(Tier(f"tier {k + 1}", radius, turns, radius))
        radius /= float(rng.uniform(*_RATIOS))
    return tuple(drum)
