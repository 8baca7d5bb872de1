"""Motion against a drag with a linear and a square term: mass x dv/dt = net - linear v - drag v^2.

The equation is Riccati's with constant numbers. With a, f, b = net, linear, drag over the mass and
d = a b + f^2 / 4, separation of variables gives (completing the square)

    v = (v0 + (a - f v0 / 2) y) / (1 + (f / 2 + b v0) y),   y = tanh(sqrt(d) t) / sqrt(d),

the tangent if d < 0. It has no special case at f, b or d = 0. Time follows from two speeds in the
same way. Distance and works are integrals of powers of v, by Gauss and Legendre's rule. Its parts
are short against the time in which v changes, so that it is right to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np

from unspool.model.number import Floats
from unspool.model.special import arc_over

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(20)
# A drag that settles the speed within a ten-thousandth of the time is beyond any car.
_MOST_PARTS = 10_000
# Newton's steps double the digits, except close to a standstill, where they halve the error.
_MOST_STEPS = 100


@dataclass(frozen=True, slots=True)
class LinearDragMotion:
    """From speed v0 (m/s) on; a in m/s2, f in 1/s, b in 1/m."""

    v0: float
    a: float
    f: float
    b: float

    def speed(self, t: Floats) -> Floats:
        """Speed in m/s at times (n,) in s."""
        y = self._y(t)
        up, down = self.a - 0.5 * self.f * self.v0, 0.5 * self.f + self.b * self.v0
        return np.asarray((self.v0 + up * y) / (1.0 + down * y))

    def _y(self, t: Floats) -> Floats:
        d = self.a * self.b + 0.25 * self.f**2
        root = sqrt(abs(d))
        if root == 0.0:
            return t
        return np.asarray((np.tanh(root * t) if d > 0.0 else np.tan(root * t)) / root)

    def time_to_rest(self) -> float:
        """In s; only for a < 0."""
        y = -self.v0 / (self.a - 0.5 * self.f * self.v0)
        return y * arc_over((self.a * self.b + 0.25 * self.f**2) * y * y)

    def integrals(self, t: float) -> tuple[float, float, float]:
        """Of v, v^2 and v^3 over the time from 0 to t: in m, m2/s and m3/s2."""
        rate = 0.5 * self.f + self.b * self.v0 + sqrt(abs(self.a * self.b))
        parts = min(1 + ceil(rate * t), _MOST_PARTS)
        half = 0.5 * t / parts
        at = half * (1.0 + _NODES + 2.0 * np.arange(parts)[:, None])
        v = self.speed(at)
        one, two, three = (half * float((v**k @ _WEIGHTS).sum()) for k in (1, 2, 3))
        return one, two, three

    def distances(self, t: Floats) -> Floats:
        """In m at rising times (n,) in s, the first one 0 and all close together."""
        half = 0.5 * np.diff(t)[:, None]
        v = self.speed(t[:-1, None] + half * (1.0 + _NODES))
        return np.concatenate([np.zeros(1), np.cumsum(half[:, 0] * (v @ _WEIGHTS))])

    def time_to(self, distance_m: float) -> float:
        """In s, by Newton's steps; only for a distance that the motion reaches."""
        a = max(self.a, 0.0)
        # Never late: no drag, and at a braked motion the first speed kept.
        t = 2.0 * distance_m / (self.v0 + sqrt(self.v0**2 + 2.0 * a * distance_m))
        for _ in range(_MOST_STEPS):
            v = float(self.speed(np.array(t)))
            if v <= 0.0:
                break
            step = (distance_m - self.integrals(t)[0]) / v
            t += step
            if abs(step) <= 1e-15 * t:
                break
        return t
