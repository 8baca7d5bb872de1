"""The true car on its track: masses, and the forces that do not need the string."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, exp, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.virtual.truth.imperfections import Imperfections

# Its own on purpose: the truth shares no number with the model that it judges.
GRAVITY = 9.80665

# Rows of the state, in SI units. Place and speed: X and V of the car, ROLLED and SPIN of the driven
# wheel, FALL and SINK of the weight. Energies lost so far: ROLLING, AIR, DRIVE, and OTHER for a
# sliding tyre and a swaying tower. ANGLE and TURN: the hanging weight's string and its rate.
STATES = 12
X, V, ROLLED, SPIN, FALL, SINK, ROLLING, AIR, DRIVE, OTHER, ANGLE, TURN = range(STATES)
State = NDArray[np.float64]


@dataclass(frozen=True)
class Floor:
    """The floor of one leg: rise over rolled distance, and the direction of travel (1 or -1).

    The direction is the leg's, not the sign of the speed. So forces stay smooth if a solver looks a
    little past the standstill that ends the leg.
    """

    slope: float
    direction: int


@dataclass(frozen=True)
class TrueCar:
    """A car on a track, with its imperfections, ready for the solver."""

    car: Car
    track: Track
    imperfections: Imperfections

    @property
    def free_kg(self) -> float:
        """What the force on the floor must accelerate if no string pulls."""
        return self.car.total_mass_kg + self.car.rotating_mass_kg

    @property
    def driven_kg(self) -> float:
        """The driven wheels' inertia as a mass at the tyre."""
        wheel = self.car.driven_wheel
        return wheel.count * wheel.inertia_kg_m2 / wheel.radius_m**2

    @property
    def pulley_kg(self) -> float:
        """The pulley's inertia as a mass on the string."""
        pulley = self.car.pulley
        return pulley.inertia_kg_m2 / pulley.radius_m**2 if pulley else 0.0

    @property
    def hanging_kg(self) -> float:
        return self.car.weight_mass_kg + self.pulley_kg

    def slope(self, x: float, forward: bool) -> float:
        """Rise over rolled distance of the floor ahead, in the direction of travel."""
        places, heights = self.track.distance_m, self.track.height_m
        for i in range(len(places) - 1):
            inside = places[i] <= x < places[i + 1] if forward else places[i] < x <= places[i + 1]
            if inside:
                return (heights[i + 1] - heights[i]) / (places[i + 1] - places[i])
        return 0.0

    def holding_n(self, slope: float) -> float:
        """The resistance in N that keeps the car at rest."""
        losses = self.car.losses
        normal = self.car.total_mass_kg * GRAVITY * sqrt(1.0 - slope**2)
        return losses.holding_coefficient * normal + losses.constant_drag_n

    def downhill_n(self, slope: float) -> float:
        """The weight's share along the floor, in N, positive if it pulls backwards."""
        return self.car.total_mass_kg * GRAVITY * slope

    def resistances_n(self, v: float, floor: Floor) -> tuple[float, float]:
        """Rolling and air resistance in N, both positive."""
        losses, speed = self.car.losses, floor.direction * v
        normal = self.car.total_mass_kg * GRAVITY * sqrt(1.0 - floor.slope**2)
        rolling = losses.rolling_coefficient * normal + losses.constant_drag_n
        rolling += losses.linear_drag_n_s_per_m * speed
        return rolling, 0.5 * self.track.air_density_kg_m3 * self.car.drag_area_m2 * speed**2

    def sway_n(self, t: float, y: State, hangs: bool) -> float:
        """The push in N of the swaying tower, and of the weight that swings while it hangs."""
        one = self.imperfections
        push = self.car.weight_mass_kg * GRAVITY * float(y[ANGLE]) if hangs else 0.0
        if one.sway_m_s2:
            tone = cos(2.0 * pi * one.sway_hz * t) * exp(-t / one.sway_decay_s)
            push += self.car.total_mass_kg * one.sway_m_s2 * tone
        return push

    def swing(self, y: State) -> list[float]:
        """Rates of angle and turn: a pendulum whose string grows as the weight falls."""
        if not self.imperfections.swing_rad:
            return [0.0, 0.0]
        string = self.imperfections.swing_string_m + float(y[FALL])
        turn = float(y[TURN])
        return [turn, -(GRAVITY * float(y[ANGLE]) + 2.0 * float(y[SINK]) * turn) / string]
