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
    """A tier as ways of the driven wheel; lever is the drum's radius over the wheel's."""

    name: str
    begin_m: float
    end_m: float
    lever: float
    lever_per_m: float
    paid_m: float  # string that has left the drum where the tier begins

    def lever_at(self, x: float) -> float:
        return self.lever + self.lever_per_m * (x - self.begin_m)

    def paid_at(self, x: float) -> float:
        """String in m that has left the drum when the wheel has rolled x, within this tier."""
        way = x - self.begin_m
        return self.paid_m + way * (self.lever + 0.5 * self.lever_per_m * way)

    def way_to_pay(self, string_m: float, x: float) -> float:
        """Way in m from x until string_m more has left, were the tier to go on for ever."""
        lever = self.lever_at(x)
        under = lever * lever + 2.0 * self.lever_per_m * string_m
        return 2.0 * string_m / (lever + sqrt(under)) if under > 0.0 else inf


@dataclass(frozen=True)
class Machine:
    """Masses in kg, forces in N; moving_kg is what a lever squared weighs at the tyre."""

    name: str
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
        return self.efficiency * self.weight_kg + self.pulley_kg

    @cached_property
    def hanging_kg(self) -> float:
        return self.weight_kg + self.pulley_kg

    @property
    def free(self) -> bool:
        """Whether no resistance stays as the speed goes to 0, so that nothing stops the car."""
        return self.rolling == 0.0 and self.constant_n == 0.0

    @property
    def stored_j(self) -> float:
        return self.weight_kg * STANDARD_GRAVITY * self.drop_m

    def slope(self, x: float, sense: int) -> float:
        """Rise over rolled distance of the floor that lies ahead of x, upwards along +x."""
        find = bisect_right if sense > 0 else bisect_left
        i = find(self.level_m, x)
        if i == 0 or i == len(self.level_m):
            return 0.0
        rise = self.height_m[i] - self.height_m[i - 1]
        return rise / (self.level_m[i] - self.level_m[i - 1])

    def next_level(self, x: float, sense: int) -> float:
        """Where ahead of x the slope changes next; infinite past the last level."""
        if sense > 0:
            i = bisect_right(self.level_m, x)
            return self.level_m[i] if i < len(self.level_m) else inf
        i = bisect_left(self.level_m, x)
        return self.level_m[i - 1] if i > 0 else -inf

    def normal_n(self, slope: float) -> float:
        return forces.normal_force(self.total_kg, slope)

    def rolling_n(self, slope: float) -> float:
        """Resistance in N that does not depend on the speed."""
        return forces.resistance(self.rolling, self.total_kg, self.constant_n, slope)

    def holding_n(self, slope: float) -> float:
        """Resistance in N that keeps a car at rest where it is."""
        return forces.resistance(self.break_away, self.total_kg, self.constant_n, slope)

    def grade_n(self, slope: float) -> float:
        """The floor's push in N against travel along +x."""
        return forces.grade_force(self.total_kg, slope)

    def drive_n(self, lever: float) -> float:
        """The hanging weight's pull at the tyre in N, the weight not accelerating."""
        return forces.drive_force(self.efficiency, self.weight_kg, lever)


def machine(car: Car, track: Track) -> Machine:
    """What the model needs of a car on a track."""
    wheel = car.driven_wheel
    pulley = car.pulley
    return Machine(
        name=car.name,
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
        way = 2.0 * pi * wheel * tier.turns
        lever = tier.radius_m / wheel
        change = (tier.end_radius_m / wheel - lever) / way if tier.tapered else 0.0
        paths.append(TierPath(tier.name, begin, begin + way, lever, change, paid))
        begin += way
        paid += tier.string_m
    return tuple(paths)
