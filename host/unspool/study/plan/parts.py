"""What else the builder owns: weights, wheels and tiers that could go on the car instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import prod

from unspool.car import Car
from unspool.errors import InputError
from unspool.study.plan.sensitivity import with_driven_radius

MOST_CARS = 200


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


@dataclass(frozen=True)
class Fitted:
    """A car with other parts on it and a few words for each; without any it is as its file says."""

    car: Car
    parts: tuple[str, ...] = ()


def fitted(car: Car, owned: Owned) -> list[Fitted]:
    """Every car that can be made of them, as it is first.

    Raises InputError for a tier that the drum lacks, a part that cannot be, or too many to try.
    """
    _check(car, owned)
    lists = [_weights(car, owned), _wheels(car, owned)]
    lists += [_tiers(car, k, owned) for k in range(len(car.drum))]
    if prod(map(len, lists)) > MOST_CARS:
        raise InputError(
            f"the parts owned make {prod(map(len, lists))} cars, more than {MOST_CARS}; "
            "give fewer at a time"
        )
    made = [_made(car, choice) for choice in product(*lists)]
    return [one for one in made if _possible(one.car)]


Choice = tuple[str, float] | None


def _weights(car: Car, owned: Owned) -> list[Choice]:
    others = [kg for kg in owned.weights_kg if kg != car.weight_mass_kg]
    return [None, *((f"weight {1e3 * kg:g} g", kg) for kg in others)]


def _wheels(car: Car, owned: Owned) -> list[Choice]:
    others = [m for m in owned.wheels_m if m != car.driven_wheel.radius_m]
    return [None, *((f"driven wheels {2e3 * m:g} mm", m) for m in others)]


def _tiers(car: Car, index: int, owned: Owned) -> list[Choice]:
    tier = car.drum[index]
    thick = car.string_diameter_m
    others = [m for m in owned.tiers_m.get(tier.name, ()) if m != tier.radius_m]
    return [None, *((f"tier {tier.name!r} {1e3 * (2.0 * m - thick):g} mm", m) for m in others)]


def _made(car: Car, choice: tuple[Choice, ...]) -> Fitted:
    weight, wheel, *tiers = choice
    if weight:
        car = replace(car, weight_mass_kg=weight[1])
    if wheel:
        car = with_driven_radius(car, wheel[1])
    drum = tuple(
        replace(old, radius_m=new[1], end_radius_m=new[1]) if new else old
        for old, new in zip(car.drum, tiers, strict=True)
    )
    return Fitted(replace(car, drum=drum), tuple(part[0] for part in choice if part))


def _possible(car: Car) -> bool:
    largest = max(max(tier.radius_m, tier.end_radius_m) for tier in car.drum)
    return largest < car.driven_wheel.radius_m


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
    if not all(0.0 < size < 1e3 for size in sizes):
        raise InputError(f"{car.name}: a part owned has no size above 0; give masses and diameters")
