"""What is measured of the cars that ran, and by how much each value may be off.

A value that is off would become drag or a loss in the drive. So every one is an unknown of the fit
with the standard deviation that its car file or the usual tool gives it (car/measured.py). Runs
that share a value share its error: two runs of one car have the same drum, and a second weight was
put on the scale by itself. So do wheels of one size: a calliper and a soft tyre err alike on both
axles.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from unspool.car import Car
from unspool.car.measured import measured

# What is measured. A wheel's radius counts twice if the encoder is on another axle than the drum.
BODY, WEIGHT, DROP, ROTATING, WHEEL, ENCODER, TIER = (
    "body", "weight", "drop", "rotating", "wheel", "encoder", "tier",
)  # fmt: skip


@dataclass(frozen=True)
class CarError:
    """A measured value that may be off; errors of equal keys are one and the same.

    sd: as a share of the value.
    """

    what: str
    tier: int
    value: float
    sd: float

    @property
    def key(self) -> tuple[str, int, float]:
        return self.what, self.tier, round(self.value, 9)


def errors_of(car: Car) -> tuple[CarError, ...]:
    """In a fixed order; the wound tiers come last."""
    return tuple(error for error in _errors(car) if error.sd > 0.0)


def _errors(car: Car) -> Iterator[CarError]:
    known, j = measured(car), car.rotating_mass_kg
    yield CarError(BODY, 0, car.body_mass_kg, known.body_kg / car.body_mass_kg)
    yield CarError(WEIGHT, 0, car.weight_mass_kg, known.weight_kg / car.weight_mass_kg)
    yield CarError(DROP, 0, car.drop_m, known.drop_m / car.drop_m)
    yield CarError(ROTATING, 0, j, known.rotating_kg / j if j else 0.0)
    yield CarError(WHEEL, 0, car.driven_wheel.radius_m, known.driven_share)
    if encoder_apart(car):
        yield CarError(ENCODER, 0, car.encoder_wheel.radius_m, known.encoder_share)
    for k, (tier, sd) in enumerate(zip(car.drum, known.tier_radius_m, strict=True)):
        if tier.turns > 0.0:
            yield CarError(TIER, k, tier.radius_m, sd / tier.radius_m)


def encoder_apart(car: Car) -> bool:
    """Whether the encoder's wheel was measured apart from the driven one."""
    return car.encoder_wheel.radius_m != car.driven_wheel.radius_m


def errors_of_all(cars: Sequence[Car]) -> tuple[CarError, ...]:
    """Each error once."""
    found = {error.key: error for car in cars for error in errors_of(car)}
    return tuple(found.values())
