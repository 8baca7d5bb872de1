"""One stretch of the law under steady numbers, in closed form.

On it the speed obeys dv/dt = a - f v - b v^2. With d = a b + f^2 / 4, separation of variables gives
(completing the square)

    y = tanh(sqrt(d) t) / sqrt(d),  the tangent if d < 0,
    v = (v0 + (a - f v0 / 2) y) / (1 + c y),  c = f / 2 + b v0,
    b x = ln(1 + c y) - ln(1 - d y^2) / 2 - f t / 2.

There is no singular case but b = 0: b stays above 0 (see LEAST_DRAG_PER_M). The derivatives over
v0, a, b and f follow from dy/dd = (t (1 - d y^2) - y) / (2 d). (The tests check all of it against
scipy's integrators and against differences.)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, atanh, expm1, inf, log1p, sqrt, tan, tanh

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_MOST_STEPS = 60  # Newton's steps double the digits, but halve the error close to a standstill
_SAME_S = 1e-14  # of the time: below what a double resolves after a few operations
_NEAR_1 = 1e-12  # keeps logarithms finite for numbers that no run has
_SERIES = 1e-2  # d t^2 below which the derivative of y is a series


@dataclass(frozen=True, slots=True)
class Piece:
    """From (time, distance, speed) on, with a, b above 0, and f."""

    time_s: float
    distance_m: float
    speed: float
    a: float
    b: float
    f: float = 0.0

    def after(self, since_s: float) -> tuple[float, float]:
        """Distance from the piece's start and speed at seconds from it."""
        a, b, f, v0 = self.a, self.b, self.f, self.speed
        d = a * b + 0.25 * f * f
        root = sqrt(abs(d))
        if root * since_s < 1e-9:
            y = since_s
        else:
            y = (tanh(root * since_s) if d > 0.0 else tan(root * since_s)) / root
        c = 0.5 * f + b * v0
        v = (v0 + (a - 0.5 * f * v0) * y) / (1.0 + c * y)
        square = min(d * y * y, 1.0 - _NEAR_1)  # 1 is the terminal speed
        return (log1p(max(c * y, _NEAR_1 - 1.0)) - 0.5 * log1p(-square) - 0.5 * f * since_s) / b, v

    def time_to(self, distance_m: float) -> tuple[float, float]:
        """Seconds from the piece's start to a distance, and the speed there; (inf, 0) if never."""
        reach = distance_m - self.distance_m
        if reach <= 0.0:
            return 0.0, self.speed
        if self.f == 0.0:
            return self._without_f(reach, self.a)
        rest = self.rest_after_s()
        if rest < inf and self.after(rest)[0] < reach:
            return inf, 0.0
        return self._by_newton(reach, rest)

    def _without_f(self, reach: float, a: float) -> tuple[float, float]:
        b, v0 = self.b, self.speed
        h = 2.0 * b * reach
        part = reach * (-expm1(-h) / h if h > 1e-12 else 1.0)
        u = v0 * v0 + 2.0 * (a - b * v0 * v0) * part
        if u <= 0.0:
            return inf, 0.0
        v = sqrt(u)
        y = 2.0 * part / (v + v0 - 2.0 * b * v0 * part)
        return y * _inverse(a * b * y * y), v

    def _by_newton(self, reach: float, rest: float) -> tuple[float, float]:
        most = max(self.speed**2 + 2.0 * self.a * reach, 0.0)
        mean = 0.5 * (self.speed + sqrt(most))
        t = self._without_f(reach, self.a - self.f * mean)[0]
        if t == inf:
            t = min(reach / self.speed, rest) if self.speed else rest
        v = self.speed
        for _ in range(_MOST_STEPS):
            at, v = self.after(t)
            if v <= 0.0:
                t *= 0.5
                continue
            step = (reach - at) / v
            t = min(t + step, rest) if t + step > 0.0 else 0.5 * t
            if abs(step) <= _SAME_S * t:
                break
        return t, v

    def rest_after_s(self) -> float:
        """Seconds to standstill; inf if the piece never slows to it."""
        slows = self.a - 0.5 * self.f * self.speed
        if self.a >= 0.0 or slows >= 0.0:
            return inf
        y = -self.speed / slows
        square = (self.a * self.b + 0.25 * self.f**2) * y * y
        return y * _inverse(square) if square < 1.0 else inf

    def rest_m(self) -> float:
        """Distance of the standstill; only if there is one."""
        return self.distance_m + self.after(self.rest_after_s())[0]


def _inverse(q: float) -> float:
    """artanh(sqrt q)/sqrt q, and arctan(sqrt -q)/sqrt -q below 0."""
    if abs(q) < 1e-8:
        return 1.0 + q / 3.0
    if q > 0.0:
        root = sqrt(min(q, 1.0 - 1e-15))
        return atanh(root) / root
    root = sqrt(-q)
    return atan(root) / root


@dataclass(frozen=True)
class Flow:
    """Many instants of pieces: what Piece.after has, as (n,) arrays."""

    since_s: Array
    v0: Array
    a: Array
    b: Array
    f: Array
    d: Array
    y: Array
    speed: Array
    reach_m: Array

    @classmethod
    def of(cls, since_s: Array, v0: Array, a: Array, b: Array, f: Array) -> Flow:
        d = a * b + 0.25 * f * f
        root = np.maximum(np.sqrt(np.abs(d)), 1e-12)
        angle = root * since_s
        bent = d < 0.0
        y = np.where(bent, np.tan(angle), np.tanh(angle)) / root
        c = 0.5 * f + b * v0
        square = np.minimum(d * y * y, 1.0 - _NEAR_1)
        logs = np.log1p(np.maximum(c * y, _NEAR_1 - 1.0)) - 0.5 * np.log1p(-square)
        reach = (logs - 0.5 * f * since_s) / b
        speed = (v0 + (a - 0.5 * f * v0) * y) / (1.0 + c * y)
        return cls(since_s, v0, a, b, f, d, y, speed, reach)

    @property
    def acceleration(self) -> Array:
        return self.a - (self.f + self.b * self.speed) * self.speed

    def distance_derivatives(self) -> Array:
        """(n, 6) over the piece's start time and place, v0, a, b and f."""
        y, b, t = self.y, self.b, self.since_s
        c = 0.5 * self.f + b * self.v0
        part = y / (1.0 + c * y)
        of_d = (c * self._y_of_d / (1.0 + c * y) + 0.5 * y * t) / b
        of_b = self.a * of_d + (self.v0 * part - self.reach_m) / b
        of_f = 0.5 * (self.f * of_d + (part - t) / b)
        return np.array([-self.speed, np.ones_like(t), part, b * of_d, of_b, of_f]).T

    def speed_derivatives(self) -> Array:
        """(n, 6), likewise."""
        y, v0, v = self.y, self.v0, self.speed
        below = 1.0 + (0.5 * self.f + self.b * v0) * y
        of_v0 = np.maximum(1.0 - self.d * y * y, 0.0) / below**2
        start = self.a - (self.f + self.b * v0) * v0
        of_d = start * self._y_of_d / below**2
        of_a = y / below + self.b * of_d
        of_b = -v0 * v * y / below + self.a * of_d
        of_f = -0.5 * (v0 + v) * y / below + 0.5 * self.f * of_d
        none = np.zeros_like(y)
        return np.array([-self.acceleration, none, of_v0, of_a, of_b, of_f]).T

    @property
    def _y_of_d(self) -> Array:
        d, t, y = self.d, self.since_s, self.y
        z = d * t * t
        small = np.abs(z) < _SERIES
        exact = (t * (1.0 - d * y * y) - y) / np.where(small, 1.0, 2.0 * d)
        if not small.any():
            return np.asarray(exact)
        z = np.where(small, z, 0.0)
        series = (
            t * t * t * (-1.0 / 3.0 + z * (4.0 / 15.0 - z * (51.0 / 315.0 - z * 248.0 / 2835.0)))
        )
        return np.where(small, series, exact)
