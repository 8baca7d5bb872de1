"""What else the builder owns: weights, wheels and tiers that could go on the car instead."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from math import prod

from unspool.car import Car
from unspool.car.other_parts import wheel_mass_kg, with_driven_wheels, with_weight
from unspool.errors import InputError, one_fault
from unspool.language import _
from unspool.study.plan.sensitivity import drum_fits

MOST_CARS = 200  # some minutes of search
_NUMBER = r"([0-9]{1,6}(?:\.[0-9]{0,6})?)"
_WHEEL = re.compile(f"{_NUMBER}(?::{_NUMBER})?")
# Wheels as a builder measures them: a diameter in mm, alone or with the mass of each in g.
WheelSize = float | tuple[float, float | None]


@dataclass(frozen=True)
class Owned:
    """Masses in kg; radii in m, of tiers to the middle of the string, by the tier's name.

    wheels_kg: the mass of each wheel of a radius; wheels that it lacks weigh by their size.
    """

    weights_kg: tuple[float, ...] = ()
    wheels_m: tuple[float, ...] = ()
    tiers_m: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    wheels_kg: Mapping[float, float] = field(default_factory=dict)

    @classmethod
    def measured(
        cls,
        car: Car,
        weights_g: Sequence[float] = (),
        wheels_mm: Sequence[WheelSize] = (),
        tiers_mm: Mapping[str, Sequence[float]] | None = None,
    ) -> Owned:
        """From scales and calipers: masses in g, diameters in mm, of tiers without the string.

        wheels_mm: a diameter, or a diameter in mm and the mass of each wheel in g.
        """
        sized = [one if isinstance(one, tuple) else (one, None) for one in wheels_mm]
        thick = car.string_diameter_m
        tiers = {
            name: tuple(0.5e-3 * mm + 0.5 * thick for mm in sizes)
            for name, sizes in (tiers_mm or {}).items()
        }
        return cls(
            tuple(1e-3 * g for g in weights_g),
            tuple(0.5e-3 * mm for mm, _ in sized),
            tiers,
            {0.5e-3 * mm: 1e-3 * g for mm, g in sized if g is not None},
        )

    def __bool__(self) -> bool:
        return bool(self.weights_kg or self.wheels_m or self.tiers_m)


class PartKind(StrEnum):
    WEIGHT = "weight"
    DRIVEN_WHEELS = "driven_wheels"
    TIER = "tier"


@dataclass(frozen=True)
class Part:
    """A part to fit. `size`: kg of a weight, diameter in m otherwise, of a tier without string.

    `mass_kg`: of each wheel, `weighed` or by its size. None for a tier, whose mass counts as that
    of the present one.
    """

    kind: PartKind
    size: float
    tier: str | None = None
    mass_kg: float | None = None
    weighed: bool = True


@dataclass(frozen=True)
class CarBuild:
    """A car with other parts on it; without any it is as its file says."""

    car: Car
    parts: tuple[Part, ...] = ()


def wheel_size(text: str) -> WheelSize:
    """`100` or `100:45`: a diameter in mm, alone or with the mass of each in g.

    Raises InputError for anything else.
    """
    found = _WHEEL.fullmatch(text.strip())
    if found is None:
        expected = _("a diameter in mm, or with the mass of each in g, such as 100 or 100:45")
        raise one_fault("--own-wheel-mm", f'"{text}"', expected)
    mm, g = found[1], found[2]
    return float(mm) if g is None else (float(mm), float(g))


def builds(car: Car, owned: Owned) -> list[CarBuild]:
    """Every car that can be made of the parts, as its file says first.

    Raises InputError for a tier that the drum lacks, a part that cannot exist, or too many to try.
    """
    _check(car, owned)
    lists = [_weights(car, owned), _wheels(car, owned)]
    lists += [_tiers(car, k, owned) for k in range(len(car.drum))]
    if prod(map(len, lists)) > MOST_CARS:
        raise InputError(
            _(
                "the parts owned make {count} cars, more than {most}; give fewer at a time",
                count=prod(map(len, lists)),
                most=MOST_CARS,
            )
        )
    every = [_build(car, choice) for choice in product(*lists)]
    return [one for one in every if drum_fits(one.car)]


# Another part with its size as the car has it (kg, or radius in m), or None for the car's own.
Choice = tuple[Part, float] | None


def _weights(car: Car, owned: Owned) -> list[Choice]:
    others = [kg for kg in owned.weights_kg if kg != car.weight_mass_kg]
    return [None, *((Part(PartKind.WEIGHT, kg, mass_kg=kg), kg) for kg in others)]


def _wheels(car: Car, owned: Owned) -> list[Choice]:
    others = [m for m in owned.wheels_m if m != car.driven_wheel.radius_m]
    return [None, *((_wheel_part(car, m, owned.wheels_kg.get(m)), m) for m in others)]


def _wheel_part(car: Car, radius_m: float, mass_kg: float | None) -> Part:
    fitted = with_driven_wheels(car, radius_m, mass_kg)
    mass = wheel_mass_kg(fitted.driven_wheel)
    weighed = mass_kg is not None
    return Part(PartKind.DRIVEN_WHEELS, 2.0 * radius_m, mass_kg=mass, weighed=weighed)


def _tiers(car: Car, index: int, owned: Owned) -> list[Choice]:
    tier = car.drum[index]
    thick = car.string_diameter_m
    others = [m for m in owned.tiers_m.get(tier.name, ()) if m != tier.radius_m]
    return [None, *((Part(PartKind.TIER, 2.0 * m - thick, tier.name), m) for m in others)]


def _build(car: Car, choice: tuple[Choice, ...]) -> CarBuild:
    weight, wheel, *tiers = choice
    if weight:
        car = with_weight(car, weight[1])
    if wheel:
        car = with_driven_wheels(car, wheel[1], wheel[0].mass_kg)
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
            raise InputError(
                _(
                    "{car}: the drum has no tier {tier}; it has {known}",
                    car=car.name,
                    tier=repr(name),
                    known=known,
                )
            )
    sizes = (
        *owned.weights_kg,
        *owned.wheels_m,
        *(m for some in owned.tiers_m.values() for m in some),
        *owned.wheels_kg.values(),
    )
    if not all(0.0 < size < 1e3 for size in sizes):  # above it is a size in the wrong unit
        raise InputError(
            _("{car}: a part owned has no size above 0; give masses and diameters", car=car.name)
        )
