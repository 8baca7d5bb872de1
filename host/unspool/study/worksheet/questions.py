"""The questions that a car gives rise to. Each uses a formula of school physics.

Steady state throughout: the weight is taken to sink slowly, as pupils reckon it. So the force at
the tyre is the weight's pull times the lever, and the longest way is energy over resistance.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isclose, isfinite, pi

from unspool.car import FLAT, Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.other_parts import with_driven_wheels, with_weight
from unspool.finding import Value
from unspool.model import predict
from unspool.model.forces import drive_force, resistance
from unspool.study.worksheet.types import Ask, Change, Choice, Number, Option, Question, Worksheet

AS_LONG = 0.01  # string and drop that differ by less than this share count as equal
SAME_WAY = 0.02  # so do distances, which look the same on a floor
HEAVIER, SMALLER, LESS = 1.2, 0.8, 0.7  # what "what if" does to the weight, wheels and drag


def worksheet(car: Car, track: Track = FLAT) -> Worksheet:
    """The worksheet of this car, wound as its drum says, on this floor.

    A drum of one tier has no questions on tiers. A car that nothing slows has none on its way.
    """
    wound = replace(car, drum=tuple(tier for tier in car.drum if tier.turns > 0.0))
    questions = (*_before(wound), *_tiers(wound), *_on_the_way(wound), *_what_if(wound, track))
    return Worksheet(wound, track, questions, predict(wound, track))


def after_run(sheet: Worksheet, forecast_m: float | None, taped_m: float) -> tuple[Number, ...]:
    """What pupils work out from their own forecast and tape. taped_m is above 0."""
    asked: list[Number] = []
    if forecast_m is not None:
        given: dict[str, Value] = {"forecast_m": forecast_m, "taped_m": taped_m}
        missed = abs(taped_m - forecast_m) / taped_m
        asked.append(Number(Ask.FORECAST_ERROR, given, 100.0 * missed, "%"))
    energy = _used_energy(sheet.car)
    given = {"energy_j": energy, "taped_m": taped_m}
    return (*asked, Number(Ask.SLOWED_BY, given, energy / taped_m, "N"))


def _used_energy(car: Car) -> float:
    """What reaches the wheels of the energy that the weight gives while the string pulls."""
    used = min(car.wound_string_m, car.drop_m)
    return car.losses.drive_efficiency * car.weight_mass_kg * STANDARD_GRAVITY * used


def _before(car: Car) -> Iterator[Question]:
    mass, drop = car.weight_mass_kg, car.drop_m
    stored = mass * STANDARD_GRAVITY * drop
    yield Number(Ask.ENERGY_STORED, {"weight_kg": mass, "drop_m": drop}, stored, "J")
    string = car.wound_string_m
    yield Number(Ask.STRING_WOUND, _sizes(car), string, "mm")
    yield Choice(
        Ask.STRING_AND_DROP, {"string_m": string, "drop_m": drop}, tuple(Option), _length(car)
    )


def _drum(car: Car) -> tuple[str, ...]:
    return tuple(tier.name for tier in car.drum)


def _sizes(car: Car) -> dict[str, Value]:
    """Each tier with the radius in its middle and its turns."""
    return {
        "tiers": _drum(car),
        "radii_m": tuple(0.5 * (tier.radius_m + tier.end_radius_m) for tier in car.drum),
        "turns": tuple(tier.turns for tier in car.drum),
    }


def _length(car: Car) -> Option:
    if isclose(car.wound_string_m, car.drop_m, rel_tol=AS_LONG):
        return Option.AS_LONG_AS_DROP
    longer = car.wound_string_m > car.drop_m
    return Option.LONGER_THAN_DROP if longer else Option.SHORTER_THAN_DROP


def _tiers(car: Car) -> Iterator[Question]:
    first, wheel = car.drum[0], car.driven_wheel
    lever = first.radius_m / wheel.radius_m
    force = float(drive_force(car.losses.drive_efficiency, car.weight_mass_kg, lever))
    given: dict[str, Value] = {
        "tier": first.name,
        "weight_kg": car.weight_mass_kg,
        "radius_m": first.radius_m,
        "wheel_m": wheel.radius_m,
        "efficiency": car.losses.drive_efficiency,
    }
    yield Number(Ask.FORCE_AT_TYRE, given, force, "N")
    if len(car.drum) > 1:
        strongest = max(car.drum, key=lambda tier: tier.radius_m)
        yield Choice(Ask.STRONGEST_TIER, {}, _drum(car), strongest.name)


def _on_the_way(car: Car) -> Iterator[Question]:
    around = 2.0 * pi * car.driven_wheel.radius_m
    yield Number(Ask.CIRCUMFERENCE, {"wheel_m": car.driven_wheel.radius_m}, around, "m")
    first, turns = car.drum[0], sum(tier.turns for tier in car.drum)
    if len(car.drum) > 1:
        tiers = {"tier": first.name, "next_tier": car.drum[1].name}
        given: dict[str, Value] = {**tiers, "turns": first.turns}
        yield Number(Ask.TIER_CHANGE, given, first.turns * around, "m")
    yield Number(Ask.RELEASE, {"turns": turns}, turns * around, "m")
    yield from _energy_over_resistance(car)


def _energy_over_resistance(car: Car) -> Iterator[Question]:
    losses, mass = car.losses, car.total_mass_kg
    slows = float(resistance(losses.rolling_coefficient, mass, losses.constant_drag_n, 0.0))
    if slows <= 0.0:
        return
    given = {
        "coefficient": losses.rolling_coefficient,
        "total_kg": mass,
        "constant_n": losses.constant_drag_n,
    }
    yield Number(Ask.RESISTANCE, given, slows, "N")
    used = min(car.wound_string_m, car.drop_m)
    given = {"efficiency": losses.drive_efficiency, "used_m": used, "resistance_n": slows}
    yield Number(Ask.LONGEST_WAY, given, _used_energy(car) / slows, "m")


def _what_if(car: Car, track: Track) -> Iterator[Question]:
    usual = predict(car, track).distance_m
    if not isfinite(usual) or usual <= 0.0:
        return
    losses = car.losses
    less = replace(
        losses,
        rolling_coefficient=LESS * losses.rolling_coefficient,
        constant_drag_n=LESS * losses.constant_drag_n,
    )
    others = (
        (Ask.HEAVIER_WEIGHT, HEAVIER, with_weight(car, HEAVIER * car.weight_mass_kg)),
        (Ask.SMALLER_WHEELS, SMALLER, with_driven_wheels(car, SMALLER * car.driven_wheel.radius_m)),
        (Ask.LESS_DRAG, LESS, replace(car, losses=less)),
    )
    for ask, factor, other in others:
        way = predict(other, track).distance_m
        given = {"factor": factor, "usual_m": usual, "changed_m": way if isfinite(way) else None}
        yield Choice(ask, given, tuple(Change), _change(usual, way))


def _change(usual: float, way: float) -> Change:
    if isclose(usual, way, rel_tol=SAME_WAY):
        return Change.SAME
    return Change.FARTHER if way > usual else Change.SHORTER
