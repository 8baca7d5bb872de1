"""Speed and way over time under a constant, a linear and a square term of resistance.

The speed obeys v' = a - b v - d v^2 with constants a in m/s2, b in 1/s and d in 1/m. That is
Riccati's equation. With v = (ln y)' / d it is linear, y'' = -b y' + a d y. So with
q^2 = b^2 / 4 + a d, C = cosh(q t), S = sinh(q t) / q, or cos and sin if q^2 < 0,

    v = (v0 C + (a - b v0 / 2) S) / (C + (b / 2 + d v0) S),
    x = (ln(C + (b / 2 + d v0) S) - b t / 2) / d.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.model.number import Flags, Floats
from unspool.model.special import arc_over

# In 1/m: far below any car's (a drag area of 1 mm2), so that x keeps ten digits.
LEAST_DRAG_PER_M = 2e-7
_NEAR = 1e-10  # below it the series of sinh(z) / z is exact
# Newton's search doubles its digits each round; a leg that ends near its standstill takes longest.
_ROUNDS, _CLOSE = 25, 1e-10


@dataclass(frozen=True)
class ThreeTermLaw:
    """Arrays that broadcast with each other and with the times asked for; start_m_s >= 0."""

    start_m_s: Floats
    constant_m_s2: Floats
    linear_per_s: Floats
    square_per_m: Floats

    @classmethod
    def of(
        cls, v0: Floats, net_n: Floats, linear: Floats, drag: Floats, mass: Floats
    ) -> ThreeTermLaw:
        """A mass in kg under a net force in N, less linear in N s/m and drag in kg/m."""
        return cls(v0, net_n / mass, linear / mass, np.maximum(drag / mass, LEAST_DRAG_PER_M))

    def at(self, time_s: Floats) -> tuple[Floats, Floats]:
        """Way in m and speed in m/s at these times from the start."""
        half = 0.5 * self.linear_per_s
        cosh_less_1, sinh = self._hyperbolic(time_s)
        grows = half + self.square_per_m * self.start_m_s
        fallen = cosh_less_1 + grows * sinh
        speed = self.start_m_s * (1.0 + cosh_less_1)
        speed = speed + (self.constant_m_s2 - half * self.start_m_s) * sinh
        way = (np.log1p(fallen) - half * time_s) / self.square_per_m
        return way, speed / (1.0 + fallen)

    @property
    def _rate_squared(self) -> Floats:
        return np.asarray(0.25 * self.linear_per_s**2 + self.constant_m_s2 * self.square_per_m)

    def _hyperbolic(self, time_s: Floats) -> tuple[Floats, Floats]:
        """C - 1 and S; trigonometric if the square of the rate is below 0."""
        square = self._rate_squared
        up = square > 0.0
        y = np.sqrt(np.abs(square)) * time_s
        half = np.where(up, np.sinh(0.5 * y), np.sin(0.5 * y))
        safe = np.maximum(y, _NEAR)
        over = np.where(y > _NEAR, np.where(up, np.sinh(safe), np.sin(safe)) / safe, 1.0)
        return np.where(up, 2.0, -2.0) * half * half, over * time_s

    def standstill_s(self) -> Floats:
        """When the speed is 0; infinite if it never is, 0 if the car stands and stays."""
        push = 0.5 * self.linear_per_s * self.start_m_s - self.constant_m_s2
        slows = self.constant_m_s2 < 0.0
        ratio = self.start_m_s / np.where(slows, push, 1.0)
        stop = ratio * arc_over(np.where(slows, self._rate_squared * ratio * ratio, 0.0))
        stands = (self.start_m_s <= 0.0) & (self.constant_m_s2 <= 0.0)
        return np.where(stands, 0.0, np.where(slows, stop, np.inf))

    def passing_s(self, way_m: Floats) -> Floats:
        """When the way is way_m; infinite if the car comes to rest before it."""
        stop = self.standstill_s()
        can = np.isfinite(stop)
        furthest = np.where(can, self.at(np.where(can, stop, 0.0))[0], np.inf)
        reached = (way_m < furthest) & np.isfinite(way_m)
        wanted = np.where(reached, way_m, 0.0)
        time = self._first_guess(wanted)
        for _ in range(_ROUNDS):
            way, speed = self.at(time)
            step = (wanted - way) / np.maximum(speed, 1e-12)
            time = np.clip(time + step, 0.0, np.where(can, stop, np.inf))
            if _settled(step, time):
                break
        return np.where(reached, time, np.inf)

    def _first_guess(self, way_m: Floats) -> Floats:
        """As if nothing depended on the speed."""
        under = self.start_m_s**2 + 2.0 * self.constant_m_s2 * way_m
        both = self.start_m_s + np.sqrt(np.maximum(under, 0.0))
        return 2.0 * way_m / np.maximum(both, 1e-9)


def _settled(step: Floats, time: Floats) -> bool:
    close: Flags = np.abs(step) <= _CLOSE * np.maximum(time, 1e-3)
    return bool(np.all(close))
