"""How far a run stays from sliding, tipping and breaking its string.

The driven axle is taken to be the rear one: accelerating loads it and lifts the front.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from unspool.car import Car, Geometry
from unspool.model.machine import STANDARD_GRAVITY, Machine
from unspool.model.passages import Catch, Passage, Pull
from unspool.model.ride import Ride

# Knots cut a cord's strength by as much as half (Cordage Institute, CI 1401).
KNOT_SHARE = 0.5
# How much a cord has stretched when it breaks: a stiff one, of polyester, for a hard catch.
STRETCH_AT_BREAK = 0.10
# Strength of a thin braided polyester cord over its full cross-section, where the file gives none.
USUAL_STRENGTH_PA = 300e6


@dataclass(frozen=True)
class Margins:
    """Each is what is there over what is needed: above 1 is well. None is not known."""

    peak_tension_n: float
    string: float | None
    traction: float | None
    tipping: float | None


def margins(car: Car, run: Ride) -> Margins:
    """The least margins over the run."""
    peak = peak_tension(car, run)
    traction = tipping = None
    moments = [moment for one in run.passages for moment in _moments(one)]
    if car.geometry is not None and moments:
        traction = _traction(car, car.geometry, run.machine, moments)
        tipping = _tipping(car.geometry, moments)
    strength = car.breaking_load_n
    string = None if strength is None else KNOT_SHARE * strength / peak
    return Margins(peak, string, traction, tipping)


@dataclass(frozen=True, slots=True)
class Moment:
    """One end of a leg on which the string drives the car."""

    passage: Passage
    speed: float
    acceleration: float

    @property
    def slope(self) -> float:
        return self.passage.slope


def _moments(passage: Passage) -> Iterator[Moment]:
    if passage.pull is Pull.TAUT:
        leg = passage.leg
        for s, v in ((0.0, leg.v0), (leg.way_m, leg.v1)):
            yield Moment(passage, v, leg.law.acceleration(s, v))


def _tyre_force(machine: Machine, at: Moment) -> float:
    """What the driven tyres push with, in N: all but the driven axle's own turning."""
    resistance = machine.rolling_n(at.slope) + machine.grade_n(at.slope)
    resistance += (machine.linear_n_s_m + machine.drag_kg_m * at.speed) * at.speed
    return (machine.coasting_kg - machine.driven_axle_kg) * at.acceleration + resistance


def _traction(car: Car, place: Geometry, machine: Machine, moments: list[Moment]) -> float | None:
    least = None
    for at in moments:
        force = _tyre_force(machine, at)
        forward = STANDARD_GRAVITY * at.slope + at.acceleration
        share = (place.wheelbase_m - place.centre_of_mass_to_driven_axle_m) / place.wheelbase_m
        load = share * machine.normal_n(at.slope)
        load += machine.total_kg * forward * place.centre_of_mass_height_m / place.wheelbase_m
        if force > 0.0:
            margin = car.losses.tyre_friction * load / force
            least = margin if least is None else min(least, margin)
    return least


def _tipping(place: Geometry, moments: list[Moment]) -> float | None:
    least = None
    for at in moments:
        forward = STANDARD_GRAVITY * at.slope + at.acceleration
        down = STANDARD_GRAVITY * sqrt(1.0 - at.slope**2)
        if forward > 0.0:
            held = down * place.centre_of_mass_to_driven_axle_m
            margin = held / (forward * place.centre_of_mass_height_m)
            least = margin if least is None else min(least, margin)
    return least


def peak_tension(car: Car, run: Ride) -> float:
    """The largest pull in the string in N: held at the peg, driving, and at each catch."""
    pulls = [car.weight_mass_kg * STANDARD_GRAVITY]
    pulls += [_tension(run.machine, moment) for one in run.passages for moment in _moments(one)]
    pulls += [_catch_tension(car, run.machine, catch) for catch in run.catches]
    return max(pulls)


def _tension(machine: Machine, at: Moment) -> float:
    tier, leg = at.passage.tier, at.passage.leg
    x = at.passage.x0_m if at.speed == leg.v0 else at.passage.x1_m
    sinking = tier.lever_at(x) * at.acceleration + tier.lever_per_m * at.speed**2
    return machine.weight_kg * (STANDARD_GRAVITY - sinking)


def _catch_tension(car: Car, machine: Machine, catch: Catch) -> float:
    """Static pull and the spring's share: closing speed x root(stiffness x reduced mass).

    A mass on a spring, from mechanics; the string's free length is taken as the drop and what has
    been paid out.
    """
    area = 3.141592653589793 * car.string_diameter_m**2 / 4.0
    strength = car.breaking_load_n or USUAL_STRENGTH_PA * area
    stiffness = strength / (STRETCH_AT_BREAK * (car.drop_m + catch.paid_m))
    reduced = 1.0 / (1.0 / machine.hanging_kg + catch.lever**2 / machine.coasting_kg)
    shock = max(catch.speed_m_s, 0.0) * sqrt(stiffness * reduced)
    return machine.weight_kg * STANDARD_GRAVITY + shock
