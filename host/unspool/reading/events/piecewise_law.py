"""The law of a run in a few numbers: stretches of steady pull between changepoints.

On a stretch the speed obeys

    dv/dt = a + grade(d) - b v^2,

with d the distance from the launch. a is the drive less the resistance on the flat, and b is
1/2 rho C_d A over the mass. While the string pulls, its share of the mass makes grade and b smaller
by Mc/(Mc + mu rho^2). Separation of variables gives a closed form. It has no singular cases with
y = (v - v0)/(a - b v v0) and s(h) = (1 - exp(-h))/h, since the tangent and its hyperbolic twin are
one function of a b y^2. (The tests check it against scipy's integrators.)

    v^2 = v0^2 + 2 (a - b v0^2) D,  D = d s(2 b d)       speed over distance
    t = y f(a b y^2),  y = 2 D / (v + v0 - 2 b v0 D),  f(q) = artanh(sqrt q)/sqrt q   time
    v = (v0 + a y)/(1 + b v0 y),  b d = ln(1 + b v0 y) - 1/2 ln(1 - a b y^2)         the inverse

At the change to a smaller tier the string catches the weight (see masses.py), and the speed jumps.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, atanh, expm1, inf, log, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.masses import GradeAcceleration, Masses

Array = NDArray[np.float64]

LEAST_DRAG_PER_M = 1e-5  # keeps the closed forms free of a special case; far below any air


@dataclass(frozen=True)
class PiecewiseLaw:
    """changepoint_m: (k,) rising distances; acceleration: (k + 1,), the last the coast's.

    A run from rest has a launch_speed of 0; if its start was not seen, that is free. The law begins
    at distance begin_m, above 0 if a slipping wheel came before. At changepoint number
    brake_changepoint, if any, the car loses brake_speed at once: a string that does not let go.
    """

    launch_s: float
    launch_speed: float
    changepoint_m: tuple[float, ...]
    acceleration: tuple[float, ...]
    drag_per_m: float
    begin_m: float = 0.0
    brake_changepoint: int | None = None
    brake_speed: float = 0.0

    @property
    def placed(self) -> bool:
        """Whether distances count from the launch, so that the winding's places can be compared."""
        return self.launch_speed == 0.0 or self.begin_m > 0.0


@dataclass(frozen=True)
class Piece:
    """One constant stretch: from (time, distance, speed) on, with its a and b above 0."""

    time_s: float
    distance_m: float
    speed: float
    a: float
    b: float

    def time_to(self, distance_m: float) -> tuple[float, float]:
        """Seconds from the piece's start to a distance, and the speed there; (inf, 0) if never."""
        reach = distance_m - self.distance_m
        h = 2.0 * self.b * reach
        reach *= -expm1(-h) / h if abs(h) > 1e-12 else 1.0
        u = self.speed**2 + 2.0 * (self.a - self.b * self.speed**2) * reach
        if u <= 0.0:
            return inf, 0.0
        v = sqrt(u)
        y = 2.0 * reach / (v + self.speed - 2.0 * self.b * self.speed * reach)
        return y * _inverse(self.a * self.b * y * y), v

    def at(self, since_s: Array) -> tuple[Array, Array]:
        """Distances and speeds at seconds from the piece's start; still once at rest."""
        a, b, v0 = self.a, self.b, self.speed
        rest = self.rest_after_s()
        since = np.minimum(since_s, rest) if rest < inf else since_s
        q = a * b
        root = sqrt(abs(q))
        y = (np.tanh(root * since) if q > 0.0 else np.tan(root * since)) / root if root else since
        speed = (v0 + a * y) / (1.0 + b * v0 * y)
        inside = np.minimum(q * y * y, 1.0 - 1e-12)  # 1 is the terminal speed
        reach = (np.log1p(b * v0 * y) - 0.5 * np.log1p(-inside)) / b
        return self.distance_m + reach, speed

    def rest_after_s(self) -> float:
        """Seconds to standstill; inf if the piece never slows to it."""
        if self.a >= 0.0 or self.speed < 0.0:
            return inf
        y = -self.speed / self.a
        return y * _inverse(self.a * self.b * y * y)

    def rest_m(self) -> float:
        """Distance of the standstill; only if there is one."""
        return self.distance_m + log(1.0 - self.b * self.speed**2 / self.a) / (2.0 * self.b)


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
class Trace:
    """A law followed from launch to rest."""

    pieces: tuple[Piece, ...]
    changepoint_s: tuple[float, ...]  # inf if never reached
    changepoint_speed: tuple[float, ...]  # just before; 0 if never reached
    stop_s: float
    stop_m: float

    def at(self, time_s: Array) -> tuple[Array, Array]:
        """Distance from the launch and speed at rising times; (n,) each."""
        starts = np.array([piece.time_s for piece in self.pieces])
        which = np.clip(np.searchsorted(starts, time_s, side="right") - 1, 0, None)
        bounds = np.searchsorted(which, np.arange(len(self.pieces) + 1))
        distance, speed = np.empty_like(time_s), np.empty_like(time_s)
        for i, piece in enumerate(self.pieces):
            part = slice(bounds[i], bounds[i + 1])
            since = np.maximum(time_s[part] - piece.time_s, 0.0)
            distance[part], speed[part] = piece.at(since)
        return distance, speed

    def stretch_at(self, time_s: Array) -> tuple[NDArray[np.intp], Array]:
        """Which stretch of the law each time is in, and the acceleration there, (n,) each."""
        starts = np.array([piece.time_s for piece in self.pieces])
        which = np.clip(np.searchsorted(starts, time_s, side="right") - 1, 0, None)
        a, b = (np.array([getattr(piece, name) for piece in self.pieces]) for name in ("a", "b"))
        speed = self.at(time_s)[1]
        stretch = np.searchsorted(np.array(self.changepoint_s), time_s, side="right")
        return stretch, a[which] - b[which] * speed**2


def follow_law(law: PiecewiseLaw, grade: GradeAcceleration, masses: Masses) -> Trace:
    """Follow a law from its launch until it rests, or without end if it never does."""
    levers = [masses.lever(a, law.acceleration[-1]) for a in law.acceleration]
    shares = [masses.free_share(lever) for lever in levers]
    drag = max(law.drag_per_m, LEAST_DRAG_PER_M)
    time_s, distance, speed = law.launch_s, law.begin_m, law.launch_speed
    pieces: list[Piece] = []
    k = len(law.changepoint_m)
    passed_s, passed_speed = [inf] * k, [0.0] * k
    for end, stretch, slope, is_changepoint in _plan(law, grade):
        share = shares[stretch]
        pull = law.acceleration[stretch] + share * slope
        piece = Piece(time_s, distance, speed, pull, share * drag)
        pieces.append(piece)
        if end == inf:
            break
        took, reached = piece.time_to(end)
        if took == inf:
            break
        time_s, distance, speed = time_s + took, end, reached
        if is_changepoint:
            passed_s[stretch], passed_speed[stretch] = time_s, speed
            speed = masses.after_catch(speed, levers[stretch], levers[stretch + 1])
            if stretch == law.brake_changepoint:
                speed = max(speed - law.brake_speed, 0.0)
    last = pieces[-1]
    rest = last.rest_after_s()
    stop_m = last.rest_m() if rest < inf else inf
    stop_s = last.time_s + rest
    return Trace(tuple(pieces), tuple(passed_s), tuple(passed_speed), stop_s, stop_m)


def _plan(law: PiecewiseLaw, grade: GradeAcceleration) -> list[tuple[float, int, float, bool]]:
    """End, stretch, slope's acceleration and whether the end is a changepoint, for each piece."""
    plan = []
    begin = law.begin_m
    for stretch in range(len(law.acceleration)):
        is_last = stretch == len(law.changepoint_m)
        end = inf if is_last else law.changepoint_m[stretch]
        i = int(np.searchsorted(grade.from_m, begin, side="right")) - 1
        for piece in range(i, len(grade.from_m)):
            upto = grade.from_m[piece + 1] if piece + 1 < len(grade.from_m) else inf
            done = upto >= end
            plan.append((min(upto, end), stretch, grade.acceleration[piece], done and not is_last))
            if done:
                break
        begin = end
    return plan
