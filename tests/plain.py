"""A car plain enough to reckon with by hand, shared by the tests of model and truth generator."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from unspool.car import Car, Encoder, Losses, Tier, Wheel


def plain_car(**changes: object) -> Car:
    """1 kg and a 0.5 kg weight, drum 10 mm on wheels of 50 mm without inertia, no air."""
    car = Car(
        name="plain",
        body_mass_kg=0.5,
        weight_mass_kg=0.5,
        drop_m=0.5,
        string_diameter_m=0.0,
        wheels=(Wheel("rear", 2, 0.05, 0.0, True),),
        drum=(Tier("only", 0.01, 0.5 / (2 * pi * 0.01), 0.01),),
        encoder=Encoder(20, "rear"),
        losses=Losses(0.02, 0.0, 0.0, 1.0, 0.02, 0.6),
    )
    return replace(car, **changes)
