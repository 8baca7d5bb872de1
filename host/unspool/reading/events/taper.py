"""The motion along a tapered tier, step by step.

The lever rho changes evenly along the way x, and with it pull and mass. The kinetic energy E of car
and weight, with M = Mc + mu rho^2, obeys

    dE/dx = p rho + Mc (c + grade - f v - b v^2),   v = sqrt(2 E / M),   dt/dx = 1/v,

with p the pull at rho = 1 and c the coast's acceleration. Nothing is lost to a catch. Runge and
Kutta's rule of fourth order follows E and t over a variable in which an even acceleration has even
steps. A dozen of them are right to a thousandth of a millimetre, two dozen from a launch to a
hundredth.
Between two steps, place over time is the cubic that has both places and both speeds.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.masses import Masses
from unspool.reading.events.piece import Piece

Array = NDArray[np.float64]

Place = tuple[float, float]  # way, and its rate over the steps

STEPS, STEPS_FROM_REST = 12, 24
_LEAST_J = 1e-15  # of a car that stops on the way; keeps roots real


@dataclass(frozen=True, slots=True)
class Bridge:
    """From (time, distance, speed), to end_m at end_speed after took_s."""

    time_s: float
    distance_m: float
    speed: float
    took_s: float
    end_m: float
    end_speed: float


@dataclass(frozen=True, slots=True)
class Taper:
    """A taper of lever `first` at from_m, changing by per_m; coast: with the grade, in m/s2."""

    from_m: float
    first: float
    per_m: float
    masses: Masses
    coast: float
    drag: float
    linear: float

    def bridges(self, time_s: float, speed: float, to_m: float) -> list[Bridge]:
        """The steps from from_m to to_m; empty if the car stops on the way."""
        length = to_m - self.from_m
        even = speed**2 + 2.0 * length * self._force(0.5 * length, speed) / self._mass(0.0)
        share = 2.0 * speed / (speed + sqrt(even)) if even > 0.0 else 1.0
        steps, energy = [], 0.5 * self._mass(0.0) * speed**2
        place, v = self.from_m, speed
        count = STEPS if speed > 0.0 else STEPS_FROM_REST
        for i in range(count):
            at = (i + 1.0) / count
            end = _ways(length, share, at)[0]
            if v > 0.0:
                energy, took = self._step(energy, length, share, i / count, 1.0 / count)
            else:
                energy, took = self._launched(end)
            if energy <= 0.0:
                return []
            reached = sqrt(2.0 * energy / self._mass(end))
            steps.append(Bridge(time_s, place, v, took, self.from_m + end, reached))
            time_s, place, v = time_s + took, self.from_m + end, reached
        return steps

    def _launched(self, way: float) -> tuple[float, float]:
        """Kinetic energy and time after a short way from rest: the lever hardly changes on it."""
        mass, free = self._mass(0.5 * way), self.masses.free_kg
        drag, linear = free * self.drag / mass, free * self.linear / mass
        start = Piece(0.0, 0.0, 0.0, self._force(0.5 * way, 0.0) / mass, drag, linear)
        took, v = start.time_to(way)
        return 0.5 * self._mass(way) * v * v, took

    def _step(
        self, energy: float, length: float, share: float, at: float, h: float
    ) -> tuple[float, float]:
        """Kinetic energy after one step h from `at`, of 1 in all, and the time that it took."""
        begin, middle, end = (_ways(length, share, x) for x in (at, at + 0.5 * h, at + h))
        e1 = self._gain(energy, begin)
        e2 = self._gain(energy + 0.5 * h * e1, middle)
        e3 = self._gain(energy + 0.5 * h * e2, middle)
        e4 = self._gain(energy + h * e3, end)
        after = energy + h * (e1 + 2.0 * e2 + 2.0 * e3 + e4) / 6.0
        # Simpson's rule, with the middle of the cubic that has both energies and their rates.
        halfway = 0.5 * (energy + after) + 0.125 * h * (e1 - self._gain(after, end))
        slow = self._slowness(energy, begin), self._slowness(halfway, middle)
        return after, h * (slow[0] + 4.0 * slow[1] + self._slowness(after, end)) / 6.0

    def _gain(self, energy: float, place: Place) -> float:
        way, per = place
        return self._force(way, self._speed(energy, way)) * per

    def _slowness(self, energy: float, place: Place) -> float:
        way, per = place
        return per / self._speed(energy, way)

    def _speed(self, energy: float, way: float) -> float:
        return sqrt(2.0 * max(energy, _LEAST_J) / self._mass(way))

    def _mass(self, way: float) -> float:
        lever = self.first + self.per_m * way
        return self.masses.free_kg + self.masses.caught_kg * lever * lever

    def _force(self, way: float, v: float) -> float:
        pull = self.masses.pull_n * (self.first + self.per_m * way)
        return pull + self.masses.free_kg * (self.coast - (self.linear + self.drag * v) * v)


def _ways(length: float, share: float, at: float) -> Place:
    """The way until a part `at` of the steps, and its rate."""
    way = length * (share + (1.0 - share) * at) * at
    return way, length * (share + 2.0 * (1.0 - share) * at)


@dataclass(frozen=True)
class Crossing:
    """Many instants of bridges, as (n,) arrays; `rows` are the bridges' six numbers, (n, 6)."""

    since_s: Array
    rows: Array

    @property
    def _part(self) -> Array:
        return self.since_s / self.rows[:, 3]

    @property
    def distance_m(self) -> Array:
        return np.asarray((self.distance_derivatives()[:, [1, 2, 4, 5]] * self._ends).sum(axis=1))

    @property
    def speed(self) -> Array:
        return np.asarray((self._slopes() * self._ends).sum(axis=1))

    @property
    def acceleration(self) -> Array:
        s, h = self._part, self.rows[:, 3]
        parts = [(12 * s - 6) / h**2, (6 * s - 4) / h, (6 - 12 * s) / h**2, (6 * s - 2) / h]
        return np.asarray((np.column_stack(parts) * self._ends).sum(axis=1))

    @property
    def _ends(self) -> Array:
        """(n, 4) place and speed at begin and end."""
        return self.rows[:, [1, 2, 4, 5]]

    def _slopes(self) -> Array:
        s, h = self._part, self.rows[:, 3]
        bend = 6.0 * s * (s - 1.0) / h
        first, last = (3.0 * s - 4.0) * s + 1.0, (3.0 * s - 2.0) * s
        return np.column_stack([bend, first, -bend, last])

    def distance_derivatives(self) -> Array:
        """(n, 6) over the bridges' numbers."""
        s, h = self._part, self.rows[:, 3]
        early, late = (1.0 + 2.0 * s) * (1.0 - s) ** 2, (3.0 - 2.0 * s) * s * s
        first, last = s * (1.0 - s) ** 2, s * s * (s - 1.0)
        v = self.speed
        stretched = -s * v + first * self.rows[:, 2] + last * self.rows[:, 5]
        return np.column_stack([-v, early, first * h, stretched, late, last * h])

    def speed_derivatives(self) -> Array:
        """(n, 6), likewise."""
        a, slopes = self.acceleration, self._slopes()
        s, h = self._part, self.rows[:, 3]
        bend = slopes[:, 0] * (self.rows[:, 4] - self.rows[:, 1]) / h
        columns = [-a, slopes[:, 0], slopes[:, 1], bend - s * a, slopes[:, 2], slopes[:, 3]]
        return np.column_stack(columns)
