"""Forces and accelerations of the true car, written for a solver and for nothing else.

The weight, the pulley and the car are three bodies joined by the string; each gets its own
equation. State (a row each): car place and speed, driven wheel's rolled way and speed, weight's
fall and speed, and the energy that went into rolling, air, drive, and odd ends (sliding tyre,
swaying tower), and the angle of the hanging weight's string with its rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, exp, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.virtual.truth.imperfections import Spoil

GRAVITY = 9.80665

STATES = 12
X, V, ROLLED, SPIN, FALL, SINK, ROLLING, AIR, DRIVE, ODD, ANGLE, TURN = range(STATES)
State = NDArray[np.float64]


@dataclass(frozen=True)
class Road:
    """The floor of one leg: rise over rolled distance, and the sense of travel (1 or -1).

    The sense is the leg's, not the sign of the speed: so forces stay smooth where a solver looks a
    little past the standstill that ends the leg.
    """

    slope: float
    sense: int


@dataclass(frozen=True)
class Body:
    """A car on a track, ready for the solver."""

    car: Car
    track: Track
    spoil: Spoil

    @property
    def free_mass(self) -> float:
        """What the road force must accelerate when no string pulls."""
        return self.car.total_mass_kg + self.car.rotating_mass_kg

    @property
    def driven_mass(self) -> float:
        """The driven wheels' inertia as a mass at the tyre."""
        wheel = self.car.driven_wheel
        return wheel.count * wheel.inertia_kg_m2 / wheel.radius_m**2

    @property
    def pulley_mass(self) -> float:
        pulley = self.car.pulley
        return pulley.inertia_kg_m2 / pulley.radius_m**2 if pulley else 0.0

    def slope(self, x: float, forward: bool) -> float:
        """Rise over rolled distance of the floor ahead, in the sense of travel."""
        places, heights = self.track.distance_m, self.track.height_m
        for i in range(len(places) - 1):
            inside = places[i] <= x < places[i + 1] if forward else places[i] < x <= places[i + 1]
            if inside:
                return (heights[i + 1] - heights[i]) / (places[i + 1] - places[i])
        return 0.0

    def hold(self, slope: float) -> float:
        """The resistance in N that keeps the car at rest."""
        losses = self.car.losses
        normal = self.car.total_mass_kg * GRAVITY * sqrt(1.0 - slope**2)
        return losses.holding_coefficient * normal + losses.constant_drag_n

    def weight_down(self, slope: float) -> float:
        """The weight's share along the floor, in N, positive where it pulls backwards."""
        return self.car.total_mass_kg * GRAVITY * slope

    def drag(self, v: float, road: Road) -> tuple[float, float]:
        """Rolling and air resistance in N, both positive."""
        losses, speed = self.car.losses, road.sense * v
        normal = self.car.total_mass_kg * GRAVITY * sqrt(1.0 - road.slope**2)
        rolling = losses.rolling_coefficient * normal + losses.constant_drag_n
        rolling += losses.linear_drag_n_s_per_m * speed
        return rolling, 0.5 * self.track.air_density_kg_m3 * self.car.drag_area_m2 * speed**2

    def sway(self, t: float, y: State, hangs: bool) -> float:
        """The push in N of the swaying tower, and of the weight that swings while it hangs."""
        s = self.spoil
        push = self.car.weight_mass_kg * GRAVITY * float(y[ANGLE]) if hangs else 0.0
        if s.sway_m_s2:
            tone = cos(2.0 * pi * s.sway_hz * t) * exp(-t / s.sway_decay_s)
            push += self.car.total_mass_kg * s.sway_m_s2 * tone
        return push

    def swing(self, y: State) -> list[float]:
        """Rates of angle and turn: a pendulum whose string grows as the weight falls."""
        if not self.spoil.swing_rad:
            return [0.0, 0.0]
        string = self.spoil.swing_string_m + float(y[FALL])
        turn = float(y[TURN])
        return [turn, -(GRAVITY * float(y[ANGLE]) + 2.0 * float(y[SINK]) * turn) / string]


@dataclass(frozen=True)
class Lever:
    """The drum's radius over the wheel's, and how it changes a metre of the wheel's way.

    sign is -1 where the string winds up the other way round and lifts the weight.
    """

    start: float
    per_m: float
    from_m: float
    sign: int = 1

    def at(self, rolled: float) -> float:
        return self.sign * (self.start + self.per_m * (rolled - self.from_m))


def pull(body: Body, lever: Lever, rolled: float, spin: float) -> tuple[float, float, float]:
    """String force at the tyre at no acceleration, mass that comes with it, and the rest of the
    weight's acceleration: weight acceleration = lever x wheel acceleration + rest.
    """
    arm = lever.at(rolled)
    eta, m = body.car.losses.drive_efficiency, body.car.weight_mass_kg
    eta = eta if lever.sign > 0 else 1.0 / eta
    rest = lever.sign * lever.per_m * spin**2
    moving = eta * m + body.pulley_mass
    return (eta * m * GRAVITY - moving * rest) * arm, moving * arm**2, rest


def _bills(body: Body, y: State, road: Road) -> tuple[float, float, float]:
    rolling, air = body.drag(y[V], road)
    return rolling, air, -road.sense * (rolling + air) - body.weight_down(road.slope)


def taut(body: Body, t: float, y: State, road: Road, lever: Lever) -> list[float]:
    """Wheel, string and weight move as one."""
    rolling, air, along = _bills(body, y, road)
    force, extra, rest = pull(body, lever, y[ROLLED], y[SPIN])
    sway = body.sway(t, y, hangs=True)
    a = (force + along + sway) / (body.free_mass + extra)
    sink = lever.at(y[ROLLED]) * y[SPIN]
    sinking = lever.at(y[ROLLED]) * a + rest
    tension = body.car.weight_mass_kg * (GRAVITY - sinking)
    eta = body.car.losses.drive_efficiency
    # Lifting, the drum must pull harder than the weight by the share that the way there eats.
    share = 1.0 - eta if lever.sign > 0 else 1.0 / eta - 1.0
    lost = share * tension * abs(sink)
    v, speed = y[V], road.sense * y[V]
    return [
        v,
        a,
        v,
        a,
        sink,
        sinking,
        rolling * speed,
        air * speed,
        lost,
        -sway * v,
        *body.swing(y),
    ]


def slack(body: Body, t: float, y: State, road: Road) -> list[float]:
    """The weight falls by itself, with the pulley; the car coasts."""
    rolling, air, along = _bills(body, y, road)
    m, sway, v = body.car.weight_mass_kg, body.sway(t, y, hangs=True), y[V]
    speed = road.sense * v
    a = (along + sway) / body.free_mass
    falling = m * GRAVITY / (m + body.pulley_mass)
    return [
        v,
        a,
        v,
        a,
        y[SINK],
        falling,
        rolling * speed,
        air * speed,
        0.0,
        -sway * v,
        *body.swing(y),
    ]


def coasting(body: Body, t: float, y: State, road: Road) -> list[float]:
    """No string pulls and the weight rests or is left behind."""
    rolling, air, along = _bills(body, y, road)
    sway, v, speed = body.sway(t, y, hangs=False), y[V], road.sense * y[V]
    a = (along + sway) / body.free_mass
    return [v, a, v, a, 0.0, 0.0, rolling * speed, air * speed, 0.0, -sway * v, 0.0, 0.0]


def sliding(body: Body, t: float, y: State, road: Road, lever: Lever, grip: float) -> list[float]:
    """The driven wheels turn under the string while the tyre pushes the car with `grip` N."""
    rolling, air, along = _bills(body, y, road)
    force, extra, rest = pull(body, lever, y[ROLLED], y[SPIN])
    sway, v, speed = body.sway(t, y, hangs=True), y[V], road.sense * y[V]
    spinning = (force - grip) / (body.driven_mass + extra)
    a = (grip + along + sway) / (body.free_mass - body.driven_mass)
    arm = lever.at(y[ROLLED])
    tension = body.car.weight_mass_kg * (GRAVITY - arm * spinning - rest)
    lost = (1.0 - body.car.losses.drive_efficiency) * tension * arm * y[SPIN]
    odd = grip * (y[SPIN] - v) - sway * v
    sinking = arm * spinning + rest
    power = [rolling * speed, air * speed, lost, odd]
    return [v, a, y[SPIN], spinning, arm * y[SPIN], sinking, *power, *body.swing(y)]


def caught(body: Body, y: State, arm: float) -> tuple[State, float]:
    """The state after the string, at lever `arm`, caught the weight; and the energy it cost."""
    eta = body.car.losses.drive_efficiency if arm > 0 else 1.0 / body.car.losses.drive_efficiency
    moving = eta * body.car.weight_mass_kg + body.pulley_mass
    after = y.copy()
    after[V] = (body.free_mass * y[V] + moving * y[SINK] * arm) / (body.free_mass + moving * arm**2)
    after[SPIN], after[SINK] = after[V], after[V] * arm
    return after, kinetic(body, y) - kinetic(body, after)


def kinetic(body: Body, y: State) -> float:
    """Kinetic energy in J of car, wheels, weight's fall and pulley."""
    travelling = (body.free_mass - body.driven_mass) * y[V] ** 2 + body.driven_mass * y[SPIN] ** 2
    return float(0.5 * (travelling + hanging(body) * y[SINK] ** 2))


def hanging(body: Body) -> float:
    return body.car.weight_mass_kg + body.pulley_mass
