"""What else the builder owns: weights, wheels and tiers that could go on the car instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from math import prod

from unspool.car import Car
from unspool.errors import InputError
from unspool.study.plan.sensitivity import drum_fits, with_driven_radius

MOST_CARS = 200  # some minutes of search


@dataclass(frozen=True)
class Owned:
    """Masses in kg; radii in m, of tiers to the middle of the string, by the tier's name."""

    weights_kg: tuple[float, ...] = ()
    wheels_m: tuple[float, ...] = ()
    tiers_m: Mapping[str, tuple[float, ...]] = field(default_factory=dict)

    @classmethod
    def measured(
        cls,
        car: Car,
        weights_g: Sequence[float] = (),
        wheels_mm: Sequence[float] = (),
        tiers_mm: Mapping[str, Sequence[float]] | None = None,
    ) -> Owned:
        """From scales and calipers: masses in g, diameters in mm, of tiers without the string."""
        thick = car.string_diameter_m
        tiers = {
            name: tuple(0.5e-3 * mm + 0.5 * thick for mm in sizes)
            for name, sizes in (tiers_mm or {}).items()
        }
        return cls(
            tuple(1e-3 * g for g in weights_g), tuple(0.5e-3 * mm for mm in wheels_mm), tiers
        )

    def __bool__(self) -> bool:
        return bool(self.weights_kg or self.wheels_m or self.tiers_m)


class PartKind(StrEnum):
    WEIGHT = "weight"
    DRIVEN_WHEELS = "driven_wheels"
    TIER = "tier"


@dataclass(frozen=True)
class Part:
    """A part to fit. `size`: kg of a weight, diameter in m otherwise, of a tier without string."""

    kind: PartKind
    size: float
    tier: str | None = None


@dataclass(frozen=True)
class CarBuild:
    """A car with other parts on it; without any it is as its file says."""

    car: Car
    parts: tuple[Part, ...] = ()


def builds(car: Car, owned: Owned) -> list[CarBuild]:
    """Every car that can be made of the parts, as its file says first.

    Raises InputError for a tier that the drum lacks, a part that cannot exist, or too many to try.
    """
    _check(car, owned)
    lists = [_weights(car, owned), _wheels(car, owned)]
    lists += [_tiers(car, k, owned) for k in range(len(car.drum))]
    if prod(map(len, lists)) > MOST_CARS:
        raise InputError(
            f"the parts owned make {prod(map(len, lists))} cars, more than {MOST_CARS}; "
            "give fewer at a time"
        )
    every = [_build(car, choice) for choice in product(*lists)]
    return [one for one in every if drum_fits(one.car)]


# Another part with its size as the car has it (kg, or radius in m), or None for the car's own.
Choice = tuple[Part, float] | None


def _weights(car: Car, owned: Owned) -> list[Choice]:
    others = [kg for kg in owned.weights_kg if kg != car.weight_mass_kg]
    return [None, *((Part(PartKind.WEIGHT, kg), kg) for kg in others)]


def _wheels(car: Car, owned: Owned) -> list[Choice]:
    others = [m for m in owned.wheels_m if m != car.driven_wheel.radius_m]
    return [None, *((Part(PartKind.DRIVEN_WHEELS, 2.0 * m), m) for m in others)]


def _tiers(car: Car, index: int, owned: Owned) -> list[Choice]:
    tier = car.drum[index]
    thick = car.string_diameter_m
    others = [m for m in owned.tiers_m.get(tier.name, ()) if m != tier.radius_m]
    return [None, *((Part(PartKind.TIER, 2.0 * m - thick, tier.name), m) for m in others)]


def _build(car: Car, choice: tuple[Choice, ...]) -> CarBuild:
    weight, wheel, *tiers = choice
    if weight:
        car = replace(car, weight_mass_kg=weight[1])
    if wheel:
        car = with_driven_radius(car, wheel[1])
    drum = tuple(
        replace(old, radius_m=new[1], end_radius_m=new[1]) if new else old
        for old, new in zip(car.drum, tiers, strict=True)
    )
    return CarBuild(replace(car, drum=drum), tuple(part[0] for part in choice if part))


def _check(car: Car, owned: Owned) -> None:
    names = [tier.name for tier in car.drum]
    for name in owned.tiers_m:
        if name not in names:
            known = ", ".join(names)
            raise InputError(f"{car.name}: the drum has no tier {name!r}; it has {known}")
    sizes = (
        *owned.weights_kg,
        *owned.wheels_m,
        *(m for some in owned.tiers_m.values() for m in some),
    )
    if not all(0.0 < size < 1e3 for size in sizes):  # above it is a size in the wrong unit
        raise InputError(f"{car.name}: a part owned has no size above 0; give masses and diameters")
