"""What the law of a run needs of car and floor: masses, the string's lever, the slope's pull.

At a change to a smaller tier the string catches the weight, and the speed jumps from v to
v (Mc + c mu rho1 rho2)/(Mc + c mu rho2^2). The catch is inelastic if c is 1. A string that gives
passes on less, and one that springs back more. A tier's rho = r/R follows from how much
harder it pulls than the coast, and is 0 on the coast, where nothing is caught.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from math import inf, sqrt

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.measured import drive_efficiency
from unspool.car.track import Track
from unspool.car.vehicle import Car


@dataclass(frozen=True)
class Masses:
    """What the law needs of a car beside what the run shows."""

    free_kg: float  # Mc: all that accelerates while no string pulls
    caught_kg: float  # mu: efficiency x weight + pulley
    pull_n: float  # eta m g: force at the tyre for rho = 1
    rolling_kg: float  # M

    @classmethod
    def of(cls, car: Car) -> Masses:
        """With the likeliest efficiency of the drive, as nothing was measured of it yet."""
        pulley = car.pulley.inertia_kg_m2 / car.pulley.radius_m**2 if car.pulley else 0.0
        driving = drive_efficiency(car)[0] * car.weight_mass_kg
        return cls(
            free_kg=car.total_mass_kg + car.rotating_mass_kg,
            caught_kg=driving + pulley,
            pull_n=driving * STANDARD_GRAVITY,
            rolling_kg=car.total_mass_kg,
        )

    def driven(self, share: float) -> Masses:
        """The same with a pull of the weight that is larger by this share."""
        if share == 1.0:
            return self
        return replace(self, caught_kg=share * self.caught_kg, pull_n=share * self.pull_n)

    def lever(self, acceleration: float, coast: float) -> float:
        """rho of a tier, from its and the coast's a: (Mc + mu rho^2) a = pull rho + Mc coast."""
        excess = self.free_kg * (acceleration - coast)
        if excess <= 0.0:
            return 0.0
        linear = self.pull_n
        root = linear**2 - 4.0 * self.caught_kg * acceleration * excess
        # The smaller root; rho grows with the pull up to where the weight's own inertia eats it.
        return 2.0 * excess / (linear + sqrt(max(root, 0.0)))

    def lever_derivatives(self, acceleration: float, coast: float) -> tuple[float, float]:
        """Of lever() over both accelerations."""
        lever = self.lever(acceleration, coast)
        if lever == 0.0:
            return 0.0, 0.0
        root = self.pull_n - 2.0 * self.caught_kg * lever * acceleration
        if root <= 0.0:  # beyond the strongest pull, where lever() takes the root as 0
            of_excess = 2.0 * self.free_kg / self.pull_n
            return of_excess, -of_excess
        moved = self.free_kg + self.caught_kg * lever**2
        return moved / root, -self.free_kg / root

    def acceleration(self, lever: float, coast: float) -> float:
        """a of a tier at this lever; the inverse of lever()."""
        moved = self.free_kg + self.caught_kg * lever**2
        return (self.pull_n * lever + self.free_kg * coast) / moved

    def free_share(self, lever: float) -> float:
        """Mc over the mass that accelerates while the string pulls at this lever."""
        return self.free_kg / (self.free_kg + self.caught_kg * lever**2)

    def after_catch(self, speed: float, before: float, after: float, strength: float) -> float:
        """Speed once the string, now leaving at lever `after`, has caught the weight.

        strength: share of the ideal impulse that the string passes on.
        """
        if not 0.0 < after < before:
            return speed
        mu = strength * self.caught_kg
        return speed * (self.free_kg + mu * before * after) / (self.free_kg + mu * after**2)


@dataclass(frozen=True)
class GradeAcceleration:
    """What the floor's slope adds to the acceleration: piece i from from_m[i] on, -inf first."""

    from_m: tuple[float, ...]
    acceleration: tuple[float, ...]

    @classmethod
    def of(
        cls, track: Track, car: Car, masses: Masses, from_m: float = 0.0, direction: int = 1
    ) -> GradeAcceleration:
        """Slope is rise over rolled distance; rolling resistance rides on the cosine.

        Seen by a car that sets out at from_m of the track, forward (1) or back (-1).
        """
        share = masses.rolling_kg / masses.free_kg * STANDARD_GRAVITY
        places = tuple(direction * (place - from_m) for place in track.distance_m)[::direction]
        slopes = np.diff(track.height_m[::direction]) / np.diff(places)
        cosines = np.sqrt(np.maximum(1.0 - slopes**2, 0.0))
        pull = -share * (slopes + car.losses.rolling_coefficient * (cosines - 1.0))
        if not len(slopes):
            return cls((-inf,), (0.0,))
        return cls((-inf, *places), (0.0, *pull.tolist(), 0.0))

    def acceleration_at(self, distance_m: float) -> float:
        return self.acceleration[self.piece_at(distance_m)]

    def piece_at(self, distance_m: float) -> int:
        return bisect_right(self.from_m, distance_m) - 1
