"""A car on a track in the numbers that the model computes with."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cached_property
from math import inf, pi, sqrt

from unspool.car import Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces


@dataclass(frozen=True, slots=True)
class TierPath:
    """A tier of the drum as distances that the driven wheel rolls.

    `begin_m`, `end_m`: where along the run the string leaves this tier. `lever`: the drum's radius
    over the wheel's where the tier begins; it changes by `lever_per_m` only on a taper. `paid_m`:
    string that has left the drum where the tier begins.
    """

    name: str
    begin_m: float
    end_m: float
    lever: float
    lever_per_m: float
    paid_m: float

    def lever_at(self, x: float) -> float:
        return self.lever + self.lever_per_m * (x - self.begin_m)

    def paid_at(self, x: float) -> float:
        """String in m that has left the drum after the wheel rolled x, within this tier."""
        rolled = x - self.begin_m
        return self.paid_m + rolled * (self.lever + 0.5 * self.lever_per_m * rolled)

    def distance_to_pay(self, string_m: float, x: float) -> float:
        """Distance in m from x until string_m more has left, if the tier went on for ever."""
        lever = self.lever_at(x)
        under = lever * lever + 2.0 * self.lever_per_m * string_m
        return 2.0 * string_m / (lever + sqrt(under)) if under > 0.0 else inf


@dataclass(frozen=True)
class Params:
    """Masses in kg, forces in N, distances in m.

    `total_kg`: car and weight. `coasting_kg`: with the wheels' inertia. `driven_axle_kg`: the
    driven axle's part of that inertia. `pulley_kg`: the pulley's inertia as a mass on the string.
    `rolling`, `break_away`: coefficients. `drag_kg_m`: half of air density x drag area.
    `level_m`, `height_m`: the floor's points, as in a Track.
    """

    total_kg: float
    coasting_kg: float
    driven_axle_kg: float
    weight_kg: float
    pulley_kg: float
    efficiency: float
    drop_m: float
    rolling: float
    break_away: float
    constant_n: float
    linear_n_s_m: float
    drag_kg_m: float
    tiers: tuple[TierPath, ...]
    level_m: tuple[float, ...]
    height_m: tuple[float, ...]

    @cached_property
    def moving_kg(self) -> float:
        """What a hanging weight of lever 1 adds to the mass that the drive accelerates."""
        return self.efficiency * self.weight_kg + self.pulley_kg

    @cached_property
    def hanging_kg(self) -> float:
        return self.weight_kg + self.pulley_kg

    @property
    def never_stops(self) -> bool:
        """Whether the resistance goes to 0 with the speed, so that nothing stops the car."""
        return self.rolling == 0.0 and self.constant_n == 0.0

    @property
    def stored_j(self) -> float:
        return self.weight_kg * STANDARD_GRAVITY * self.drop_m

    def slope(self, x: float, direction: int) -> float:
        """Rise over rolled distance of the floor that lies ahead of x, upwards along +x."""
        find = bisect_right if direction > 0 else bisect_left
        i = find(self.level_m, x)
        if i == 0 or i == len(self.level_m):
            return 0.0
        rise = self.height_m[i] - self.height_m[i - 1]
        return rise / (self.level_m[i] - self.level_m[i - 1])

    def next_level(self, x: float, direction: int) -> float:
        """Where ahead of x the slope changes next; infinite past the last point."""
        if direction > 0:
            i = bisect_right(self.level_m, x)
            return self.level_m[i] if i < len(self.level_m) else inf
        i = bisect_left(self.level_m, x)
        return self.level_m[i - 1] if i > 0 else -inf

    def rolling_n(self, slope: float) -> float:
        """Resistance in N of a car that rolls; air and linear drag come on top."""
        return forces.resistance(self.rolling, self.total_kg, self.constant_n, slope)

    def holding_n(self, slope: float) -> float:
        """Resistance in N that holds a car that is at rest."""
        return forces.resistance(self.break_away, self.total_kg, self.constant_n, slope)

    def grade_n(self, slope: float) -> float:
        """Force in N along the floor, against travel along +x."""
        return forces.grade_force(self.total_kg, slope)

    def drive_n(self, lever: float) -> float:
        """Force in N at the tyre of the hanging weight while it does not accelerate."""
        return forces.drive_force(self.efficiency, self.weight_kg, lever)


def params_of(car: Car, track: Track) -> Params:
    """The car as its file says, wound as its drum says, on the track."""
    wheel = car.driven_wheel
    pulley = car.pulley
    return Params(
        total_kg=car.total_mass_kg,
        coasting_kg=car.total_mass_kg + car.rotating_mass_kg,
        driven_axle_kg=wheel.count * wheel.inertia_kg_m2 / wheel.radius_m**2,
        weight_kg=car.weight_mass_kg,
        pulley_kg=pulley.inertia_kg_m2 / pulley.radius_m**2 if pulley else 0.0,
        efficiency=car.losses.drive_efficiency,
        drop_m=car.drop_m,
        rolling=car.losses.rolling_coefficient,
        break_away=car.losses.holding_coefficient,
        constant_n=car.losses.constant_drag_n,
        linear_n_s_m=car.losses.linear_drag_n_s_per_m,
        drag_kg_m=0.5 * track.air_density_kg_m3 * car.drag_area_m2,
        tiers=_tier_paths(car),
        level_m=track.distance_m,
        height_m=track.height_m,
    )


def _tier_paths(car: Car) -> tuple[TierPath, ...]:
    wheel = car.driven_wheel.radius_m
    paths: list[TierPath] = []
    begin = paid = 0.0
    for tier in car.drum:
        if tier.turns <= 0.0:
            continue
        length = 2.0 * pi * wheel * tier.turns
        lever = tier.radius_m / wheel
        change = (tier.end_radius_m / wheel - lever) / length if tier.tapered else 0.0
        paths.append(TierPath(tier.name, begin, begin + length, lever, change, paid))
        begin += length
        paid += tier.string_m
    return tuple(paths)
