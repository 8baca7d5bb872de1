"""The drum as the true run needs it: where each tier ends and how much string has left."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from unspool.car import Car, Tier


@dataclass(frozen=True)
class TierLever:
    """The drum's radius over the wheel's, and how it changes with each metre that the wheel rolls.

    `start`: at `from_m`. `sign` is -1 if the string winds up the other way round and lifts the
    weight.
    """

    start: float
    per_m: float
    from_m: float
    sign: int = 1

    def at(self, rolled_m: float) -> float:
        return self.sign * (self.start + self.per_m * (rolled_m - self.from_m))


@dataclass(frozen=True)
class TrueDrum:
    """A tier each. Distances are what the driven wheel has rolled since the launch, in metres.

    `paid_m`: string that has left the drum where each tier begins.
    """

    ends_m: tuple[float, ...]
    levers: tuple[TierLever, ...]
    paid_m: tuple[float, ...]

    @property
    def empty_m(self) -> float:
        return self.ends_m[-1]

    def paid(self, tier: int, rolled_m: float) -> float:
        """String in m that has left the drum."""
        lever = self.levers[tier]
        rolled = rolled_m - lever.from_m
        return self.paid_m[tier] + rolled * (lever.start + lever.at(rolled_m)) / 2.0


def wound_tiers(car: Car) -> tuple[Tier, ...]:
    """The tiers that carry string."""
    return tuple(tier for tier in car.drum if tier.turns > 0.0)


def drum_of(car: Car) -> TrueDrum:
    wheel = car.driven_wheel.radius_m
    ends: list[float] = []
    levers: list[TierLever] = []
    paid = [0.0]
    begin = 0.0
    for tier in wound_tiers(car):
        length = 2.0 * pi * tier.turns * wheel
        first, last = tier.radius_m / wheel, tier.end_radius_m / wheel
        levers.append(TierLever(first, (last - first) / length, begin))
        begin += length
        ends.append(begin)
        paid.append(paid[-1] + length * (first + last) / 2.0)
    return TrueDrum(tuple(ends), tuple(levers), tuple(paid))
