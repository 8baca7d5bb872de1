"""The law of a run in a few numbers: stretches of steady pull, and where one gives way to the next.

On a stretch the speed obeys  dv/dt = a + grade(d) - b v^2, d the distance from the launch: a is
what drives less what holds on the flat, b = 1/2 rho C_d A over the mass. (While the string pulls,
its share of the mass makes grade and b smaller by Mc/(Mc + mu rho^2).) With y = (v - v0)/(a - b v
v0) and s(h) = (1 - exp(-h))/h it is in closed form without singular cases (the tangent and its
hyperbolic twin are one function of a b y^2; derived from the separable equation, checked against
scipy's integrators in the tests):

    v^2 = v0^2 + 2 (a - b v0^2) D,  D = d s(2 b d)       speed over distance
    t = y f(a b y^2),  y = 2 D / (v + v0 - 2 b v0 D),  f(q) = artanh(sqrt q)/sqrt q   time
    v = (v0 + a y)/(1 + b v0 y),  b d = ln(1 + b v0 y) - 1/2 ln(1 - a b y^2)         the inverse

Where one tier gives way to a smaller one the string catches the weight, and the speed jumps from v
to v (Mc + mu rho1 rho2)/(Mc + mu rho2^2), an inelastic catch; rho = r/R of a tier follows from how
much harder it pulls than the coast, and is 0 on the coast, where nothing is caught."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, atanh, expm1, log, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.track import Track
from unspool.car.vehicle import Car

Array = NDArray[np.float64]

LEAST_DRAG_PER_M = 1e-5  # keeps the closed forms free of a special case; far below any air
NEVER = float("inf")


@dataclass(frozen=True)
class Masses:
    """What of a car the law needs beside what the run tells."""

    free_kg: float  # Mc: all that accelerates while no string pulls
    caught_kg: float  # mu: efficiency x weight + pulley
    pull_n: float  # eta m g: force at the tyre for rho = 1
    rolling_kg: float  # M

    @classmethod
    def of(cls, car: Car) -> Masses:
        pulley = car.pulley.inertia_kg_m2 / car.pulley.radius_m**2 if car.pulley else 0.0
        driving = car.losses.drive_efficiency * car.weight_mass_kg
        return cls(
            free_kg=car.total_mass_kg + car.rotating_mass_kg,
            caught_kg=driving + pulley,
            pull_n=driving * STANDARD_GRAVITY,
            rolling_kg=car.total_mass_kg,
        )

    def lever(self, acceleration: float, coast: float) -> float:
        """rho of a tier, from its and the coast's a: (Mc + mu rho^2) a = pull rho + Mc coast."""
        excess = self.free_kg * (acceleration - coast)
        if excess <= 0.0:
            return 0.0
        linear = self.pull_n
        root = linear**2 - 4.0 * self.caught_kg * acceleration * excess
        # The smaller root; rho grows with the pull up to where the weight's own inertia eats it.
        return 2.0 * excess / (linear + sqrt(max(root, 0.0)))

    def acceleration(self, lever: float, coast: float) -> float:
        """a of a tier at this lever; the inverse of lever()."""
        moved = self.free_kg + self.caught_kg * lever**2
        return (self.pull_n * lever + self.free_kg * coast) / moved

    def free_share(self, lever: float) -> float:
        """Mc over the mass that accelerates while the string pulls at this lever."""
        return self.free_kg / (self.free_kg + self.caught_kg * lever**2)

    def after_catch(self, speed: float, before: float, after: float) -> float:
        """Speed once the string, now leaving at lever `after`, has caught the weight."""
        if not 0.0 < after < before:
            return speed
        mu = self.caught_kg
        return speed * (self.free_kg + mu * before * after) / (self.free_kg + mu * after**2)


@dataclass(frozen=True)
class Grade:
    """What the floor's slope adds to the acceleration: piece i from from_m[i] on, -inf first."""

    from_m: tuple[float, ...]
    acceleration: tuple[float, ...]

    @classmethod
    def of(
        cls, track: Track, car: Car, masses: Masses, from_m: float = 0.0, direction: int = 1
    ) -> Grade:
        """Slope is rise over rolled distance; rolling resistance rides on the cosine.

        Seen by a car that sets out at from_m of the track, forward (1) or back (-1).
        """
        share = masses.rolling_kg / masses.free_kg * STANDARD_GRAVITY
        places = tuple(direction * (place - from_m) for place in track.distance_m)[::direction]
        slopes = np.diff(track.height_m[::direction]) / np.diff(places)
        cosines = np.sqrt(np.maximum(1.0 - slopes**2, 0.0))
        pull = -share * (slopes + car.losses.rolling_coefficient * (cosines - 1.0))
        if not len(slopes):
            return cls((-NEVER,), (0.0,))
        return cls((-NEVER, *places), (0.0, *pull.tolist(), 0.0))

    def acceleration_at(self, distance_m: float) -> float:
        return self.acceleration[int(np.searchsorted(self.from_m, distance_m, side="right")) - 1]


@dataclass(frozen=True)
class Law:
    """kink_m: (k,) rising distances; acceleration: (k + 1,), the last the coast's.

    A run from rest has launch_speed 0; one whose start was not seen has it free. begin_m is the
    distance at which the law begins: above 0 where a slipping wheel came before. At kink number
    brake_kink, if any, the car loses brake_speed at once: a string that does not let go.
    """

    launch_s: float
    launch_speed: float
    kink_m: tuple[float, ...]
    acceleration: tuple[float, ...]
    drag_per_m: float
    begin_m: float = 0.0
    brake_kink: int | None = None
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
            return NEVER, 0.0
        v = sqrt(u)
        y = 2.0 * reach / (v + self.speed - 2.0 * self.b * self.speed * reach)
        return y * _inverse(self.a * self.b * y * y), v

    def at(self, since_s: Array) -> tuple[Array, Array]:
        """Distances and speeds at seconds from the piece's start; still once at rest."""
        a, b, v0 = self.a, self.b, self.speed
        rest = self.rest_after_s()
        since = np.minimum(since_s, rest) if rest < NEVER else since_s
        q = a * b
        root = sqrt(abs(q))
        y = (np.tanh(root * since) if q > 0.0 else np.tan(root * since)) / root if root else since
        speed = (v0 + a * y) / (1.0 + b * v0 * y)
        inside = np.minimum(q * y * y, 1.0 - 1e-12)  # 1 is the terminal speed
        reach = (np.log1p(b * v0 * y) - 0.5 * np.log1p(-inside)) / b
        return self.distance_m + reach, speed

    def rest_after_s(self) -> float:
        """Seconds to standstill; inf where the piece never slows to it."""
        if self.a >= 0.0 or self.speed < 0.0:
            return NEVER
        y = -self.speed / self.a
        return y * _inverse(self.a * self.b * y * y)

    def rest_m(self) -> float:
        """Distance of the standstill; only where there is one."""
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
    kink_s: tuple[float, ...]
    kink_speed: tuple[float, ...]  # just before; inf time and 0 where never reached
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
        stretch = np.searchsorted(np.array(self.kink_s), time_s, side="right")
        return stretch, a[which] - b[which] * speed**2


def follow_law(law: Law, grade: Grade, masses: Masses) -> Trace:
    """Drive a law from its launch until it rests, or without end where it never does."""
    levers = [masses.lever(a, law.acceleration[-1]) for a in law.acceleration]
    shares = [masses.free_share(lever) for lever in levers]
    drag = max(law.drag_per_m, LEAST_DRAG_PER_M)
    time_s, distance, speed = law.launch_s, law.begin_m, law.launch_speed
    pieces: list[Piece] = []
    kink_s, kink_speed = [NEVER] * len(law.kink_m), [0.0] * len(law.kink_m)
    for end, stretch, slope, is_kink in _plan(law, grade):
        share = shares[stretch]
        pull = law.acceleration[stretch] + share * slope
        piece = Piece(time_s, distance, speed, pull, share * drag)
        pieces.append(piece)
        if end == NEVER:
            break
        took, reached = piece.time_to(end)
        if took == NEVER:
            break
        time_s, distance, speed = time_s + took, end, reached
        if is_kink:
            kink_s[stretch], kink_speed[stretch] = time_s, speed
            speed = masses.after_catch(speed, levers[stretch], levers[stretch + 1])
            if stretch == law.brake_kink:
                speed = max(speed - law.brake_speed, 0.0)
    last = pieces[-1]
    rest = last.rest_after_s()
    stop_m = last.rest_m() if rest < NEVER else NEVER
    return Trace(tuple(pieces), tuple(kink_s), tuple(kink_speed), last.time_s + rest, stop_m)


def _plan(law: Law, grade: Grade) -> list[tuple[float, int, float, bool]]:
    """End, stretch, slope's acceleration and whether the end is a kink, for each piece."""
    plan = []
    begin = law.begin_m
    for stretch in range(len(law.acceleration)):
        is_last = stretch == len(law.kink_m)
        end = NEVER if is_last else law.kink_m[stretch]
        i = int(np.searchsorted(grade.from_m, begin, side="right")) - 1
        for piece in range(i, len(grade.from_m)):
            upto = grade.from_m[piece + 1] if piece + 1 < len(grade.from_m) else NEVER
            done = upto >= end
            plan.append((min(upto, end), stretch, grade.acceleration[piece], done and not is_last))
            if done:
                break
        begin = end
    return plan
