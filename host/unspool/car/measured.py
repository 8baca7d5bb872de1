"""How well a car is known: the standard deviations that its file states, or those of usual tools.

The usual ones are a judgement, from what such tools say of themselves. A kitchen scale shows whole
grams and is good to half a percent. A calliper shows 0.02 mm, but the string sinks into itself, and
a tyre gives way under the car. A tape finds a drop to a few millimetres: string stretches, and
knots slip. A roll-out over a few turns finds a wheel's circumference to half a millimetre. Bearings
and axles make a wheel another shape than a disc.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi, sqrt

from unspool.car.vehicle import Car, Tier, Wheel

SCALE_KG, SCALE_SHARE = 1e-3, 0.005
DRUM_DIAMETER_M = 0.2e-3
WHEEL_DIAMETER_M = 0.3e-3
ROLL_OUT_M = 0.5e-3  # of the circumference
DROP_M = 3e-3
INERTIA_SHARE = 0.2
TURNS = 0.1
TAPE_SHARE = 0.003  # of a run's distance: a tape that is laid along it by hand
AREA_SHARE, COEFFICIENT_SHARE = 0.1, 0.283  # an area by its outline, a coefficient by looks
# A drive loses in pulley, peg and string. Builders' drives are within this range, any value of it
# as likely as another. A file's value without a standard deviation may be another car's.
EFFICIENCY_LOW, EFFICIENCY_HIGH = 0.65, 0.97


@dataclass(frozen=True)
class Measured:
    """Standard deviations, in SI. rotating_kg: of Car.rotating_mass_kg; pulley_kg: of I/r^2.

    tier_radius_m and turns: one a tier, in drum order. The shares are of a wheel's rolling radius,
    and so of every distance that its edges give. drag_area_share is None without a frontal area.
    """

    body_kg: float
    weight_kg: float
    drop_m: float
    rotating_kg: float
    pulley_kg: float
    tier_radius_m: tuple[float, ...]
    turns: tuple[float, ...]
    driven_share: float
    encoder_share: float
    drag_area_share: float | None


def measured(car: Car) -> Measured:
    """How well each number of this car is known."""
    return Measured(
        body_kg=_or(car.body_mass_sd_kg, _weighed(car.body_mass_kg)),
        weight_kg=_or(car.weight_mass_sd_kg, _weighed(car.weight_mass_kg)),
        drop_m=_or(car.drop_sd_m, DROP_M),
        rotating_kg=sqrt(sum(_rotating_sd(wheel) ** 2 for wheel in car.wheels)),
        pulley_kg=_pulley_sd(car),
        tier_radius_m=tuple(_tier_sd(tier) for tier in car.drum),
        turns=tuple(_or(tier.turns_sd, TURNS) for tier in car.drum),
        driven_share=_radius_share(car.driven_wheel),
        encoder_share=_radius_share(car.encoder_wheel),
        drag_area_share=_drag_area_share(car),
    )


def drive_efficiency(car: Car) -> tuple[float, float]:
    """What is known of the drive's efficiency before any run: its mean and standard deviation."""
    if car.losses.drive_efficiency_sd is not None:
        return car.losses.drive_efficiency, car.losses.drive_efficiency_sd
    middle = 0.5 * (EFFICIENCY_LOW + EFFICIENCY_HIGH)
    return middle, (EFFICIENCY_HIGH - EFFICIENCY_LOW) / sqrt(12.0)


def _or(stated: float | None, usual: float) -> float:
    return usual if stated is None else stated


def _weighed(mass_kg: float) -> float:
    return hypot(SCALE_KG, SCALE_SHARE * mass_kg)


def _rotating_sd(wheel: Wheel) -> float:
    sd = _or(wheel.inertia_sd_kg_m2, INERTIA_SHARE * wheel.inertia_kg_m2)
    return wheel.count * sd / wheel.radius_m**2


def _pulley_sd(car: Car) -> float:
    pulley = car.pulley
    if pulley is None:
        return 0.0
    sd = _or(pulley.inertia_sd_kg_m2, INERTIA_SHARE * pulley.inertia_kg_m2)
    return sd / pulley.radius_m**2


def _tier_sd(tier: Tier) -> float:
    return _or(tier.radius_sd_m, 0.5 * DRUM_DIAMETER_M)


def _radius_share(wheel: Wheel) -> float:
    usual = ROLL_OUT_M / (2.0 * pi) if wheel.rolled_out else 0.5 * WHEEL_DIAMETER_M
    return _or(wheel.radius_sd_m, usual) / wheel.radius_m


def _drag_area_share(car: Car) -> float | None:
    if not car.drag_area_m2:
        return None
    area, coefficient = car.frontal_area_m2 or 0.0, car.drag_coefficient or 0.0
    return hypot(
        _or(car.frontal_area_sd_m2, AREA_SHARE * area) / area,
        _or(car.drag_coefficient_sd, COEFFICIENT_SHARE * coefficient) / coefficient,
    )
