"""How far one run stays from sliding, tipping and breaking its string."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from unspool.car import Car
from unspool.model import limits
from unspool.model.params import Params
from unspool.model.simulate import Simulation
from unspool.model.states import StringState
from unspool.model.timeline import Catch, PlacedSegment


@dataclass(frozen=True)
class Margins:
    """Each is what is there over what is needed; above 1 is safe. None is not known."""

    peak_tension_n: float
    string: float | None
    traction: float | None
    tipping: float | None


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """One end of a segment on which the string drives: place in m, speed, acceleration."""

    placed: PlacedSegment
    x: float
    v: float
    a: float

    @property
    def apparent_gravity(self) -> tuple[float, float]:
        """Backward and down, in m/s2."""
        return limits.apparent_gravity(self.a, self.placed.slope)


def margins(car: Car, run: Simulation) -> Margins:
    """The least margins over the run."""
    points = [point for one in run.segments for point in _operating_points(one)]
    peak = _peak_tension(car, run, points)
    strength = car.breaking_load_n
    return Margins(
        peak_tension_n=peak,
        string=None if strength is None else limits.string_margin(strength, peak),
        traction=min(_traction(car, run.params, points), default=None),
        tipping=min(_tipping(car, points), default=None),
    )


def _operating_points(placed: PlacedSegment) -> Iterator[OperatingPoint]:
    """Both ends: between them every quantity that a margin takes changes one way."""
    if placed.string is StringState.TAUT:
        one = placed.segment
        start, end = one.dynamics.acceleration(0.0, one.v0), one.length_m
        yield OperatingPoint(placed, placed.x0_m, one.v0, start)
        yield OperatingPoint(placed, placed.x1_m, one.v1, one.dynamics.acceleration(end, one.v1))


def _traction(car: Car, params: Params, points: list[OperatingPoint]) -> Iterator[float]:
    geometry = car.geometry
    for at in points if geometry else ():
        force = _tyre_force(params, at)
        if geometry and force > 0.0:
            share = limits.axle_share(
                *at.apparent_gravity,
                geometry.wheelbase_m,
                geometry.centre_of_mass_to_driven_axle_m,
                geometry.centre_of_mass_height_m,
            )
            yield car.losses.tyre_friction * params.total_kg * share / force


def _tyre_force(params: Params, at: OperatingPoint) -> float:
    slope = at.placed.slope
    resistance = params.rolling_n(slope) + params.grade_n(slope)
    resistance += (params.linear_n_s_m + params.drag_kg_m * at.v) * at.v
    return limits.tyre_force(params.coasting_kg, params.driven_axle_kg, at.a, resistance)


def _tipping(car: Car, points: list[OperatingPoint]) -> Iterator[float]:
    geometry = car.geometry
    for at in points if geometry else ():
        backward, down = at.apparent_gravity
        if geometry and backward > 0.0:
            yield limits.tipping_margin(
                backward,
                down,
                geometry.centre_of_mass_to_driven_axle_m,
                geometry.centre_of_mass_height_m,
            )


def _peak_tension(car: Car, run: Simulation, points: list[OperatingPoint]) -> float:
    """The largest pull in the string in N: held at the start, driving, and at each catch."""
    weight = run.params.weight_kg
    pulls = [limits.hanging_pull(weight, 0.0)]
    for at in points:
        tier = at.placed.tier
        sink = tier.lever_at(at.x) * at.a + tier.lever_per_m * at.v**2
        pulls.append(limits.hanging_pull(weight, sink))
    pulls += [pulls[0] + _catch_tension(car, run.params, one) for one in run.catches]
    return max(pulls)


def _catch_tension(car: Car, params: Params, catch: Catch) -> float:
    strength = car.breaking_load_n or limits.usual_strength(car.string_diameter_m)
    return limits.catch_tension(
        max(catch.speed_m_s, 0.0),
        catch.lever,
        car.drop_m + catch.paid_m,
        params.hanging_kg,
        params.coasting_kg,
        strength,
    )
