"""The way out of many variants of a car at once, from the launch to the first standstill.

It follows the same laws as the model's simulation of one run. A linear drag is in closed form here,
and a taper is a row of small steps that lose nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from unspool.model import forces
from unspool.model.number import Flags
from unspool.model.three_term_law import ThreeTermLaw
from unspool.study.calibration.car_variants import CarVariants
from unspool.study.calibration.types import Array

_CATCH_ROUNDS = 20  # Newton's search for the catch of a slack string
_MOST_LEGS = 400  # a floor of many knots under a drum of many tiers has some hundred


class _String(IntEnum):
    TAUT = 0
    SLACK = 1
    GONE = 2  # off the drum, or its weight landed


@dataclass(frozen=True)
class WayOut:
    """Legs (l, v) of each variant: when and where each begins, and the law that holds on it.

    end_s, end_m: (v,) the standstill; infinite if nothing stops the car. held: (v,) whether the
    string still holds it there.
    """

    begin_s: Array
    begin_m: Array
    laws: ThreeTermLaw
    end_s: Array
    end_m: Array
    held: Flags

    def of(self, rows: slice) -> WayOut:
        """Some of the variants."""
        laws = self.laws
        some = ThreeTermLaw(
            laws.start_m_s[:, rows], laws.constant_m_s2[:, rows],
            laws.linear_per_s[:, rows], laws.square_per_m[:, rows],
        )  # fmt: skip
        return WayOut(
            self.begin_s[:, rows], self.begin_m[:, rows], some, self.end_s[rows],
            self.end_m[rows], self.held[rows],
        )  # fmt: skip

    def at(self, time_s: Array) -> tuple[Array, Array]:
        """Way in m and speed in m/s, (v, n), at times (v, n) from the launch.

        Each variant stands still before its launch, and after its standstill.
        """
        time = np.clip(time_s, 0.0, self.end_s[:, None])
        leg = np.stack(
            [
                np.searchsorted(b, t, side="right") - 1
                for b, t in zip(self.begin_s.T, time, strict=True)
            ]
        )
        row = np.arange(len(time))[:, None]
        laws = self.laws
        law = ThreeTermLaw(
            laws.start_m_s[leg, row], laws.constant_m_s2[leg, row],
            laws.linear_per_s[leg, row], laws.square_per_m[leg, row],
        )  # fmt: skip
        way, speed = law.at(time - self.begin_s[leg, row])
        return self.begin_m[leg, row] + way, np.where(time_s < 0.0, 0.0, speed)


def way_out(cars: CarVariants) -> WayOut:
    """Raises ArithmeticError if a way has no end within _MOST_LEGS legs."""
    walk = _Walk.at_launch(cars)
    for _ in range(_MOST_LEGS):
        if not walk.leg():
            return walk.way_out()
    raise ArithmeticError(f"the way out has more than {_MOST_LEGS} legs")


def ways_out(parts: Sequence[CarVariants]) -> list[WayOut]:
    """The ways of several sets of variants; those of one kind go side by side, which is quick."""
    found: dict[int, WayOut] = {}
    for kind in dict.fromkeys(part.kind for part in parts):
        alike = [i for i, part in enumerate(parts) if part.kind == kind]
        whole = way_out(CarVariants.joined([parts[i] for i in alike]))
        begin = 0
        for i in alike:
            found[i] = whole.of(slice(begin, begin + len(parts[i])))
            begin += len(parts[i])
    return [found[i] for i in range(len(parts))]


@dataclass
class _Walk:
    """(v,) the state of each variant under way: place, speed, time, tier, string and weight.

    paid_m: string that has left the drum; fallen_m and sink_m_s: the weight's way and speed.
    """

    cars: CarVariants
    x: Array
    v: Array
    t: Array
    tier: NDArray[np.intp]
    string: NDArray[np.intp]
    done: Flags
    paid_m: Array
    fallen_m: Array
    sink_m_s: Array
    begin_s: list[Array] = field(default_factory=list)
    begin_m: list[Array] = field(default_factory=list)
    laws: list[ThreeTermLaw] = field(default_factory=list)

    @classmethod
    def at_launch(cls, cars: CarVariants) -> _Walk:
        n = len(cars)
        string = np.full(n, _String.TAUT if cars.lever.shape[1] else _String.GONE, dtype=np.intp)
        tier, done = np.zeros(n, dtype=np.intp), np.zeros(n, dtype=bool)
        x, v, t, paid, fallen, sink = np.zeros((6, n))
        return cls(cars, x, v, t, tier, string, done, paid, fallen, sink)

    def way_out(self) -> WayOut:
        laws = [
            np.stack([getattr(law, name) for law in self.laws])
            for name in ("start_m_s", "constant_m_s2", "linear_per_s", "square_per_m")
        ]
        held = self.string != _String.GONE
        end_m = np.where(np.isfinite(self.t), self.x, np.inf)
        return WayOut(
            np.stack(self.begin_s), np.stack(self.begin_m), ThreeTermLaw(*laws), self.t, end_m, held
        )

    def leg(self) -> bool:
        """One leg of each variant; False if all are at rest, or roll on for ever."""
        lever = self._lever()
        slope, to_knot = self.cars.floor_ahead(self.x)
        law = self.cars.law(np.where(self.string == _String.TAUT, lever, 0.0), slope, self.v)
        self.begin_s.append(self.t)
        self.begin_m.append(self.x)
        self.laws.append(law)
        lengths = np.stack([self._to_landing(lever), self._to_tier_end(), to_knot])
        which, length = np.argmin(lengths, axis=0), np.min(lengths, axis=0)
        stop, passing = law.standstill_s(), law.passing_s(np.maximum(length, 0.0))
        caught = self._catching_s(law, lever, np.minimum(passing, stop))
        time = np.minimum(np.minimum(passing, stop), caught)
        goes_on = ~self.done & np.isfinite(time)
        self._advance(law, lever, np.where(goes_on, time, 0.0))
        self._end_of_leg(which, goes_on & (passing <= time), goes_on & (caught <= time))
        self.t = np.where(self.done | np.isfinite(time), self.t, np.inf)
        self.done |= ~np.isfinite(time) | (goes_on & (stop <= time))
        return not bool(self.done.all())

    def _lever(self) -> Array:
        levers = self.cars.lever
        return levers[np.arange(len(levers)), self.tier] if levers.shape[1] else 0.0 * self.x

    def _to_landing(self, lever: Array) -> Array:
        left = np.maximum(self.cars.drop_m - self.fallen_m, 0.0)
        return np.where(self.string == _String.TAUT, left / np.maximum(lever, 1e-9), np.inf)

    def _to_tier_end(self) -> Array:
        ends = self.cars.end_m
        if not ends.shape[1]:
            return np.full(len(ends), np.inf)
        ahead = ends[np.arange(len(ends)), self.tier] - self.x
        return np.where(self.string == _String.GONE, np.inf, ahead)

    def _catching_s(self, law: ThreeTermLaw, lever: Array, latest: Array) -> Array:
        """When the falling weight draws a slack string taut; infinite if not by `latest`."""
        slack = (self.string == _String.SLACK) & ~self.done
        if not slack.any():
            return np.full(len(latest), np.inf)
        gravity, ahead = self.cars.free_fall(), self.paid_m - self.fallen_m
        # From above: the weight gains on the string ever faster, so Newton's way stays above.
        time = 2.0 * np.maximum(self.v * lever - self.sink_m_s, 0.0) / gravity + 1e-3
        for _ in range(_CATCH_ROUNDS):
            way, speed = law.at(time)
            late = self.sink_m_s * time + 0.5 * gravity * time**2 - ahead - lever * way
            closing = self.sink_m_s + gravity * time - lever * speed
            time = np.maximum(time - late / np.maximum(closing, 1e-6), 0.0)
        return np.where(slack & (time < latest), time, np.inf)

    def _advance(self, law: ThreeTermLaw, lever: Array, time: Array) -> None:
        way, speed = law.at(time)
        self.x, self.t, self.v = self.x + way, self.t + time, np.maximum(speed, 0.0)
        self.paid_m = self.paid_m + lever * way
        slack = self.string == _String.SLACK
        gained = self.cars.free_fall() * time
        fallen = self.fallen_m + (self.sink_m_s + 0.5 * gained) * time
        self.fallen_m = np.where(slack, fallen, self.paid_m)
        self.sink_m_s = np.where(slack, self.sink_m_s + gained, self.v * lever)

    def _end_of_leg(self, which: NDArray[np.intp], passed: Flags, caught: Flags) -> None:
        landed = passed & (which == 0)
        ended = passed & (which == 1)
        last = self.tier + 1 >= self.cars.end_m.shape[1]
        # A weight that is on the floor is caught by nothing.
        late = caught & (self.paid_m >= self.cars.drop_m)
        self.string = np.where(landed | late | (ended & last), _String.GONE, self.string)
        self._catch(caught & ~late, self._lever(), self.cars.catch)
        self._next_tier(ended & ~last)

    def _next_tier(self, goes: Flags) -> None:
        if not goes.any():
            return
        before = self._lever()
        self.tier = np.where(goes, self.tier + 1, self.tier)
        lever, smooth = self._lever(), self.cars.smooth[self.tier]
        taut = self.string == _String.TAUT
        self._go_over(goes & taut & smooth, before, lever)
        caught = goes & taut & ~smooth & (lever <= before)
        self._catch(caught, lever, self.cars.catch)
        self.string = np.where(goes & taut & ~smooth & ~caught, _String.SLACK, self.string)

    def _catch(self, which: Flags, lever: Array, share: Array) -> None:
        """The string catches the weight with this share of the ideal impulse."""
        cars = self.cars
        if which.any():
            moving = share * cars.moving_kg
            v, _ = forces.catch(
                self.v, self.sink_m_s, lever, cars.coasting_kg, moving, cars.weight_kg
            )
            self.v = np.where(which, v, self.v)
            self.sink_m_s = np.where(which, v * lever, self.sink_m_s)
            self.fallen_m = np.where(which, self.paid_m, self.fallen_m)
            self.string = np.where(which, _String.TAUT, self.string)

    def _go_over(self, which: Flags, before: Array, lever: Array) -> None:
        """A small step of a taper, which keeps the energy."""
        if which.any():
            coasting, moving = self.cars.coasting_kg, self.cars.moving_kg
            mass = forces.accelerated_mass(coasting, moving, before)
            ratio = np.sqrt(mass / forces.accelerated_mass(coasting, moving, lever))
            self.v = np.where(which, ratio * self.v, self.v)
            self.sink_m_s = np.where(which, self.v * lever, self.sink_m_s)
