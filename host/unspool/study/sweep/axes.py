"""What a sweep varies, and the car with one set of sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import isfinite

from unspool.car import Car, Tier
from unspool.car.other_parts import with_driven_wheels, with_drop, with_weight
from unspool.errors import InputError
from unspool.language import _, localised

FEWEST_STEPS, MOST_STEPS = 2, 100
# If nobody says how many: sets in all, which take some seconds, and values of one size.
USUAL_SETS, USUAL_MOST = 1600, 41
# In m or kg: outside of it, a size is in another unit.
_BOUNDS = {"tier": (0.001, 1.0), "driven_wheels": (0.01, 2.0), "weight": (0.005, 50.0),
           "drop": (0.02, 10.0)}  # fmt: skip


class Varied(StrEnum):
    """A size of the car."""

    TIER = "tier"
    DRIVEN_WHEELS = "driven_wheels"
    WEIGHT = "weight"
    DROP = "drop"


@dataclass(frozen=True)
class Axis:
    """Values of one size: kg of a weight, m otherwise. Tiers and wheels have their diameters.

    A tier's diameter is without the string. wheel_kg is the mass of each wheel, None by its size.
    """

    what: Varied
    values: tuple[float, ...]
    tier: str | None = None
    wheel_kg: float | None = None

    @property
    def unit(self) -> str:
        """Of the values."""
        return "kg" if self.what is Varied.WEIGHT else "m"


def axis_of(
    what: Varied,
    values: Sequence[float],
    tier: str | None = None,
    wheel_kg: float | None = None,
) -> Axis:
    """The values in rising order. Raises InputError for too few or many, or an impossible size."""
    name = axis_name(what, tier)
    low, high = _BOUNDS[what]
    if not all(isfinite(one) and low <= one <= high for one in values):
        unit = "kg" if what is Varied.WEIGHT else "m"
        raise InputError(
            _(
                "{size}: a size is out of bounds; expected {low} to {high} {unit}",
                size=name,
                low=localised(format(low, "g")),
                high=localised(format(high, "g")),
                unit=unit,
            )
        )
    different = tuple(sorted(set(values)))
    if not FEWEST_STEPS <= len(different) <= MOST_STEPS:
        raise InputError(
            _(
                "{size}: found {count} different sizes, expected {least} to {most}; a range is"
                " written 8:24",
                size=name,
                count=len(different),
                least=FEWEST_STEPS,
                most=MOST_STEPS,
            )
        )
    return Axis(what, different, tier, wheel_kg)


def usual_steps(sizes: int, sets: int = USUAL_SETS) -> int:
    """How many values each of so many sizes gets, so that all together make about `sets`."""
    return min(USUAL_MOST, max(FEWEST_STEPS, int(sets ** (1.0 / max(sizes, 1)) + 1e-9)))


def evenly(low: float, high: float, steps: int) -> list[float]:
    """Values from low to high, in m or kg, without the dust of binary fractions."""
    step = (high - low) / (steps - 1)
    return [round(low + i * step, 7) for i in range(steps)]


def axis_name(what: Varied, tier: str | None) -> str:
    return f"tier {tier!r}" if tier is not None else str(what).replace("_", " ")


def with_sizes(car: Car, axes: Sequence[Axis], values: Sequence[float]) -> Car:
    """The car with one value for each axis."""
    for axis, value in zip(axes, values, strict=True):
        car = _with_size(car, axis, value)
    return car


def _with_size(car: Car, axis: Axis, value: float) -> Car:
    if axis.what is Varied.WEIGHT:
        return with_weight(car, value)
    if axis.what is Varied.DROP:
        return with_drop(car, value)
    if axis.what is Varied.DRIVEN_WHEELS:
        return with_driven_wheels(car, 0.5 * value, axis.wheel_kg)
    radius = 0.5 * (value + car.string_diameter_m)
    drum = tuple(_of_radius(tier, radius) if tier.name == axis.tier else tier for tier in car.drum)
    return replace(car, drum=drum)


def _of_radius(tier: Tier, radius_m: float) -> Tier:
    """A taper keeps its shape."""
    end_m = tier.end_radius_m * radius_m / tier.radius_m
    return replace(tier, radius_m=radius_m, end_radius_m=end_m)
