"""How far one run stays from sliding, tipping and breaking its string."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from unspool.car import Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import limits
from unspool.model.params import Machine
from unspool.model.simulate import Ride
from unspool.model.timeline import Catch, Passage, Pull


@dataclass(frozen=True)
class Margins:
    """Each is what is there over what is needed: above 1 is well. None is not known."""

    peak_tension_n: float
    string: float | None
    traction: float | None
    tipping: float | None


@dataclass(frozen=True, slots=True)
class Moment:
    """One end of a leg on which the string drives the car: place, speed, acceleration."""

    passage: Passage
    x: float
    v: float
    a: float

    @property
    def forward(self) -> float:
        """Acceleration and slope together, in m/s2."""
        return self.a + STANDARD_GRAVITY * self.passage.slope

    @property
    def down(self) -> float:
        return STANDARD_GRAVITY * sqrt(1.0 - self.passage.slope**2)


def margins(car: Car, run: Ride) -> Margins:
    """The least margins over the run."""
    moments = [moment for one in run.passages for moment in _moments(one)]
    peak = _peak_tension(car, run, moments)
    strength = car.breaking_load_n
    return Margins(
        peak_tension_n=peak,
        string=None if strength is None else limits.string_margin(strength, peak),
        traction=min(_traction(car, run.machine, moments), default=None),
        tipping=min(_tipping(car, moments), default=None),
    )


def _moments(passage: Passage) -> Iterator[Moment]:
    if passage.pull is Pull.TAUT:
        leg = passage.leg
        yield Moment(passage, passage.x0_m, leg.v0, leg.law.acceleration(0.0, leg.v0))
        yield Moment(passage, passage.x1_m, leg.v1, leg.law.acceleration(leg.way_m, leg.v1))


def _traction(car: Car, machine: Machine, moments: list[Moment]) -> Iterator[float]:
    place = car.geometry
    for at in moments if place else ():
        force = _tyre_force(machine, at)
        if place and force > 0.0:
            share = limits.axle_share(
                at.forward,
                at.down,
                place.wheelbase_m,
                place.centre_of_mass_to_driven_axle_m,
                place.centre_of_mass_height_m,
            )
            yield car.losses.tyre_friction * machine.total_kg * share / force


def _tyre_force(machine: Machine, at: Moment) -> float:
    slope = at.passage.slope
    resistance = machine.rolling_n(slope) + machine.grade_n(slope)
    resistance += (machine.linear_n_s_m + machine.drag_kg_m * at.v) * at.v
    return limits.tyre_force(machine.coasting_kg, machine.driven_axle_kg, at.a, resistance)


def _tipping(car: Car, moments: list[Moment]) -> Iterator[float]:
    place = car.geometry
    for at in moments if place else ():
        if place and at.forward > 0.0:
            yield limits.balance(
                at.forward,
                at.down,
                place.centre_of_mass_to_driven_axle_m,
                place.centre_of_mass_height_m,
            )


def _peak_tension(car: Car, run: Ride, moments: list[Moment]) -> float:
    """The largest pull in the string in N: held at the peg, driving, and at each catch."""
    weight = run.machine.weight_kg
    pulls = [limits.hanging_pull(weight, 0.0)]
    for at in moments:
        tier = at.passage.tier
        sinking = tier.lever_at(at.x) * at.a + tier.lever_per_m * at.v**2
        pulls.append(limits.hanging_pull(weight, sinking))
    pulls += [pulls[0] + _catch(car, run.machine, one) for one in run.catches]
    return max(pulls)


def _catch(car: Car, machine: Machine, catch: Catch) -> float:
    strength = car.breaking_load_n or limits.usual_strength(car.string_diameter_m)
    return limits.catch_tension(
        max(catch.speed_m_s, 0.0),
        catch.lever,
        car.drop_m + catch.paid_m,
        machine.hanging_kg,
        machine.coasting_kg,
        strength,
    )
