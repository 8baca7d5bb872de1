"""Speed and way over time under a constant, a linear and a square term of resistance.

The speed obeys v' = a - b v - d v^2 with constants a in m/s2, b in 1/s and d in 1/m. That is
Riccati's equation. With v = (ln y)' / d it is linear, y'' = -b y' + a d y. So with
q^2 = b^2 / 4 + a d, C = cosh(q t), S = sinh(q t) / q, or cos and sin if q^2 < 0, and
k = b / 2 + d v0,

    v = v0 + v0' S / (C + k S),    x = ln((C + k S) exp(-b t / 2)) / d.

Both hold for any b and d, 0 as well. If d is small, the logarithm's argument is 1 + d w with

    w = a t^2 (s g(s t) + e g(-e t)) / (s + e) + v0 (exp(e t) - exp(-s t)) / (s + e),

s = q + b / 2, e = q - b / 2 and g(z) = (z - 1 + exp(-z)) / z^2: then nothing cancels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.model.number import Flags, Floats
from unspool.model.special import arc_over, decay_lag, decay_mean, log1p_over

# In 1/m: what no car can show. Any larger one keeps ten digits of x.
LEAST_DRAG_PER_M = 1e-12
_NEAR = 1e-10  # below it the series of sinh(z) / z is exact
# The second form of x is for a small d or a large q t. If q is below this share of b, e is about -s
# and its terms cancel.
_SMALL_DRAG_PER_M, _LATE, _SMALL_RATE = 1e-4, 20.0, 0.25
# Newton's search doubles its digits each round; a leg that ends near its standstill takes longest.
_ROUNDS, _CLOSE = 40, 1e-10
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(20)


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
        half, square = 0.5 * self.linear_per_s, self._rate_squared
        up, rate = square > 0.0, np.sqrt(np.abs(square))
        y, grows = rate * time_s, half + self.square_per_m * self.start_m_s
        late = (self.square_per_m < _SMALL_DRAG_PER_M) | (y > _LATE)
        apart = up & (rate >= _SMALL_RATE * self.linear_per_s) & late
        cosh_less_1, over = _hyperbolic(np.where(apart, 0.0, y), up)
        more = cosh_less_1 + grows * over * time_s
        way = (np.log1p(more) - half * time_s) / self.square_per_m
        tangent = over * time_s / (1.0 + cosh_less_1)
        if np.any(apart):
            w = self._way_without_drag(np.where(apart, rate, 0.0), np.where(apart, time_s, 0.0))
            way = np.where(apart, w * log1p_over(self.square_per_m * w), way)
            tangent = np.where(apart, np.tanh(y) / np.where(y > _NEAR, rate, 1.0), tangent)
            tangent = np.where(apart & (y <= _NEAR), time_s, tangent)
        speed = self.start_m_s + self._start_acceleration * tangent / (1.0 + grows * tangent)
        return way, speed

    @property
    def _start_acceleration(self) -> Floats:
        slowing = (self.linear_per_s + self.square_per_m * self.start_m_s) * self.start_m_s
        return self.constant_m_s2 - slowing

    @property
    def _rate_squared(self) -> Floats:
        return np.asarray(0.25 * self.linear_per_s**2 + self.constant_m_s2 * self.square_per_m)

    def _way_without_drag(self, rate: Floats, time: Floats) -> Floats:
        """w, as above; rate: q, not much smaller than b."""
        half = 0.5 * self.linear_per_s
        fast = rate + half
        slow = self.constant_m_s2 * self.square_per_m / np.where(fast > 0.0, fast, np.inf)
        share = 0.5 + 0.5 * half / np.where(rate > 0.0, rate, np.inf)
        lag = share * decay_lag(fast * time) + (1.0 - share) * decay_lag(-slow * time)
        kept = np.exp(slow * time) * decay_mean(2.0 * rate * time)
        return self.constant_m_s2 * time * time * lag + self.start_m_s * time * kept

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

    def powers(self, time_s: Floats) -> tuple[Floats, Floats]:
        """Integrals of v^2 (m2/s) and v^3 (m3/s2) from the start to these times (n,).

        By Gauss and Legendre's rule on parts of which each doubles the time. The speed settles as
        exp(-rate t) does, so they are right to the last digit.
        """
        rate = 0.5 * self.linear_per_s + self.square_per_m * self.start_m_s
        rate = rate + np.sqrt(np.abs(self.constant_m_s2 * self.square_per_m))
        begin, end = np.zeros_like(time_s), np.minimum(time_s, 1.0 / np.maximum(rate, 1e-9))
        square, cube = np.zeros_like(time_s), np.zeros_like(time_s)
        while np.any(end > begin):
            half = 0.5 * (end - begin)
            v = self.at(begin + half * (1.0 + _NODES[:, None]))[1]
            square = square + half * (_WEIGHTS @ v**2)
            cube = cube + half * (_WEIGHTS @ v**3)
            begin, end = end, np.minimum(time_s, 2.0 * end)
        return square, cube


def _hyperbolic(y: Floats, up: Flags) -> tuple[Floats, Floats]:
    """cosh(y) - 1 and sinh(y) / y; trigonometric where not `up`."""
    half = np.where(up, np.sinh(0.5 * y), np.sin(0.5 * y))
    safe = np.maximum(y, _NEAR)
    over = np.where(up, np.sinh(safe), np.sin(safe)) / safe
    return np.where(up, 2.0, -2.0) * half * half, np.where(y > _NEAR, over, 1.0)


def _settled(step: Floats, time: Floats) -> bool:
    close: Flags = np.abs(step) <= _CLOSE * np.maximum(time, 1e-3)
    return bool(np.all(close))
