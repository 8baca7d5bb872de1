"""The drum as the true run needs it: where each tier ends and how much string has left."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from unspool.car import Car, Tier
from unspool.virtual.truth.physics import Lever


@dataclass(frozen=True)
class Drum:
    """All lengths are rolled ways of the driven wheel, from the launch, in metres."""

    ends_m: tuple[float, ...]
    levers: tuple[Lever, ...]
    paid_m: tuple[float, ...]  # string that has left at each tier's start

    @property
    def empty_m(self) -> float:
        return self.ends_m[-1]

    def paid(self, tier: int, rolled: float) -> float:
        """String in m that has left the drum."""
        lever = self.levers[tier]
        way = rolled - lever.from_m
        return self.paid_m[tier] + way * (lever.start + lever.at(rolled)) / 2.0


def wound_tiers(car: Car) -> tuple[Tier, ...]:
    """The tiers that carry string."""
    return tuple(tier for tier in car.drum if tier.turns > 0.0)


def drum_of(car: Car) -> Drum:
    wheel = car.driven_wheel.radius_m
    ends: list[float] = []
    levers: list[Lever] = []
    paid = [0.0]
    begin = 0.0
    for tier in wound_tiers(car):
        way = 2.0 * pi * tier.turns * wheel
        first, last = tier.radius_m / wheel, tier.end_radius_m / wheel
        levers.append(Lever(first, (last - first) / way, begin))
        begin += way
        ends.append(begin)
        paid.append(paid[-1] + way * (first + last) / 2.0)
    return Drum(tuple(ends), tuple(levers), tuple(paid))
