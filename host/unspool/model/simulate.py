"""A run as legs and events: what string, weight and floor do, one after the other.

A tier that is smaller than the one before catches the weight, which falls faster than the string
now pays out: an inelastic pull along the string, in which the weight counts with the drive's
efficiency as it does while it drives (only so is a taper the limit of many small steps). A larger
tier lets the string go slack; the weight, with the pulley, falls until it catches up. The weight
that lands leaves its fall's energy in the cradle and the rest of the string unwinds slack. A car
that comes to rest while the weight still hangs on it is held there. Without rolling resistance a
run has no end: it is followed until nothing lies ahead, or until it swings between two slopes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf

from scipy.optimize import brentq

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces
from unspool.model.legs import Law, Leg, roll
from unspool.model.outcome import Event, EventKind
from unspool.model.params import Machine, TierPath
from unspool.model.timeline import Catch, Passage, Pull

_SAME_PLACE_M = 1e-9
_MOST_LEGS = 200_000
# A car that settles in the bottom of a dip swings ever less, without end.
_SMALLEST_SWING_M = 1e-6
# Beyond this many lengths over which air drag settles the speed, the closed form is split.
_SETTLING = 5.0


@dataclass
class Ride:
    """The state of a run under way and all that happened; `ride` returns it when it is over."""

    machine: Machine
    x: float = 0.0
    v: float = 0.0
    t: float = 0.0
    fallen: float = 0.0
    sinking: float = 0.0  # the weight's speed, kept while it falls by itself
    pull: Pull = Pull.TAUT
    index: int = 0
    sense: int = 1
    passages: list[Passage] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    catches: list[Catch] = field(default_factory=list)
    rested_m: float = -inf
    level_m: float = inf
    landing_j: float = 0.0
    drive_j: float = 0.0
    endless: bool = False

    @property
    def rest_m(self) -> float:
        """Where the car comes to rest; infinite when nothing stops it."""
        return inf if self.endless else self.x

    @property
    def rest_s(self) -> float:
        """When the car comes to rest; infinite when nothing stops it."""
        return inf if self.endless else self.t

    @property
    def furthest_m(self) -> float:
        """The most that it reaches; infinite when it rolls on forwards for ever."""
        if self.endless and self.level_m == inf:
            return inf
        return max((event.distance_m for event in self.events), default=0.0)

    @property
    def tier(self) -> TierPath:
        return self.machine.tiers[self.index]

    @property
    def starts(self) -> bool:
        return self.start_margin > 1.0

    @property
    def start_margin(self) -> float:
        """Drive force over the resistance at rest; infinite where the floor alone starts it."""
        if not self.machine.tiers:
            return 0.0
        slope = self.machine.slope(0.0, 1)
        needed = self.machine.holding_n(slope) + self.machine.grade_n(slope)
        return forces.start_margin(self.machine.drive_n(self.machine.tiers[0].lever), needed)

    def note(
        self, kind: EventKind, from_tier: str | None = None, to_tier: str | None = None
    ) -> None:
        self.events.append(
            Event(kind, self.t, self.x, self.sense * self.v, from_tier=from_tier, to_tier=to_tier)
        )

    def law(self) -> Law:
        """The forces from here on."""
        m = self.machine
        slope = m.slope(self.x, self.sense)
        net = -m.rolling_n(slope) - self.sense * m.grade_n(slope)
        if self.pull is not Pull.TAUT:
            return Law(net, m.drag_kg_m, m.coasting_kg, m.linear_n_s_m)
        lever, change = self.tier.lever_at(self.x), self.tier.lever_per_m
        net += m.drive_n(lever)
        if change == 0.0:
            mass = forces.accelerated_mass(m.coasting_kg, m.moving_kg, lever)
            return Law(net, m.drag_kg_m, mass, m.linear_n_s_m)
        return Law(
            net, m.drag_kg_m, m.coasting_kg, m.linear_n_s_m,
            m.drive_n(change), m.moving_kg, lever, change,
        )  # fmt: skip

    def ways(self) -> dict[str, float]:
        """Ways in m to all that can end a leg, nearest first where they are equal."""
        ways: dict[str, float] = {}
        if self.pull is Pull.TAUT:
            left = self.machine.drop_m - self.fallen
            ways["landing"] = self.tier.way_to_pay(left, self.x)
        if self.pull is not Pull.GONE and self.sense > 0:
            last = self.index + 1 == len(self.machine.tiers)
            ways["release" if last else "tier_end"] = self.tier.end_m - self.x
        ways["level"] = self.sense * (self.level_m - self.x)
        return ways

    def step(self) -> bool:
        """One leg and what ends it; False when the run is over."""
        self.level_m = self.machine.next_level(self.x, self.sense)
        ways, law = self.ways(), self.law()
        name = min(ways, key=lambda key: ways[key])
        way = ways[name]
        if way > _SAME_PLACE_M:
            if law.net_n >= 0.0 and way == inf:
                self.endless = True
                return False
            way, name = self._settled(law, way, name)
            leg = roll(law, self.v, way)
            leg, name = self._until_caught(leg, name)
            self._pass(leg)
            if leg.v1 == 0.0:
                return self._standstill()
        return self._act(name)

    def _settled(self, law: Law, way: float, name: str) -> tuple[float, str]:
        if law.drag_kg_m == 0.0 or law.net_n < 0.0 or law.settled(self.v):
            return way, name
        longest = _SETTLING * law.mass_kg / law.drag_kg_m
        return (longest, "again") if longest < way else (way, name)

    def _pass(self, leg: Leg) -> None:
        slope = self.machine.slope(self.x, self.sense)
        passage = Passage(leg, self.pull, self.tier, self.x, self.t, self.sense, slope)
        self.passages.append(passage)
        self.x, self.t, self.v = passage.x1_m, self.t + leg.time_s, leg.v1
        if self.pull is Pull.TAUT:
            self._sink(passage)
        elif self.pull is Pull.SLACK:
            gravity = self._free_fall()
            self.fallen += (self.sinking + 0.5 * gravity * leg.time_s) * leg.time_s
            self.sinking += gravity * leg.time_s

    def _sink(self, passage: Passage) -> None:
        m, leg, tier = self.machine, passage.leg, passage.tier
        before, after = leg.v0 * tier.lever_at(passage.x0_m), leg.v1 * tier.lever_at(self.x)
        paid = tier.paid_at(self.x) - tier.paid_at(passage.x0_m)
        # What the weight gives and does not keep as speed goes through the string.
        through = m.weight_kg * (STANDARD_GRAVITY * paid - 0.5 * (after**2 - before**2))
        self.drive_j += (1.0 - m.efficiency) * through
        self.fallen += paid
        self.sinking = after

    def _free_fall(self) -> float:
        """Acceleration in m/s2 of the weight that turns the pulley and nothing else."""
        return forces.free_fall(self.machine.weight_kg, self.machine.hanging_kg)

    def _act(self, name: str) -> bool:
        if name == "landing":
            self._land()
        elif name == "release":
            self._release()
        elif name == "tier_end":
            self._next_tier()
        elif name == "caught":
            self._catch()
        elif name == "level":
            self.x = self.level_m
        return True

    def _land(self) -> None:
        self.landing_j += 0.5 * self.machine.hanging_kg * self.sinking**2
        self.fallen, self.sinking = self.machine.drop_m, 0.0
        self.pull = Pull.LANDED
        if self.machine.tiers[-1].end_m - self.x > _SAME_PLACE_M:
            self.note(EventKind.LANDING)

    def _release(self) -> None:
        if self.pull is not Pull.LANDED:
            self.landing_j += 0.5 * self.machine.hanging_kg * self.sinking**2
            self.sinking = 0.0
        self.pull = Pull.GONE
        self.note(EventKind.RELEASE)

    def _next_tier(self) -> None:
        before = self.tier
        self.index += 1
        self.note(EventKind.TIER_CHANGE, before.name, self.tier.name)
        if self.pull is Pull.TAUT:
            if self.tier.lever <= before.lever_at(before.end_m) * (1.0 + 1e-12):
                self._catch()
            else:
                self.pull = Pull.SLACK

    def _catch(self) -> None:
        m, lever = self.machine, self.tier.lever_at(self.x)
        closing = self.sinking - self.v * lever
        v, lost = forces.catch(
            self.v, self.sinking, lever, m.coasting_kg, m.moving_kg, m.hanging_kg
        )
        self.catches.append(Catch(closing, lever, self.tier.paid_at(self.x), lost))
        self.v, self.sinking, self.pull = v, v * lever, Pull.TAUT

    def _until_caught(self, leg: Leg, name: str) -> tuple[Leg, str]:
        """The leg cut where the weight, falling by itself, lands or catches up with the string."""
        if self.pull is not Pull.SLACK:
            return leg, name
        gravity = self._free_fall()

        def ahead(s: float) -> float:
            t = leg.time_to(s)
            fall = self.fallen + (self.sinking + 0.5 * gravity * t) * t
            return max(fall - self.tier.paid_at(self.x + s), fall - self.machine.drop_m)

        if ahead(leg.way_m) < 0.0:
            return leg, name
        # At its start the weight is level with the string, but for rounding.
        begin = min(_SAME_PLACE_M, 0.5 * leg.way_m)
        way = brentq(ahead, begin, leg.way_m, xtol=1e-15) if ahead(begin) < 0.0 else begin
        cut = roll(leg.law, leg.v0, way)
        fall = self.fallen + (self.sinking + 0.5 * gravity * cut.time_s) * cut.time_s
        landed = fall - self.machine.drop_m > fall - self.tier.paid_at(self.x + way)
        return cut, "landing" if landed else "caught"

    def _standstill(self) -> bool:
        if self.pull in (Pull.TAUT, Pull.SLACK):
            self.note(EventKind.STOP)
            return False
        swing, self.rested_m = abs(self.x - self.rested_m), self.x
        for sense in (-1, 1) if swing > _SMALLEST_SWING_M else ():
            slope = self.machine.slope(self.x, sense)
            if -sense * self.machine.grade_n(slope) > self.machine.holding_n(slope):
                self.endless = self.sense < 0 and self.machine.free
                self._turn(sense)
                return not self.endless
        self.note(EventKind.STOP)
        return False

    def _turn(self, sense: int) -> None:
        if sense < 0 and not any(e.kind is EventKind.ROLLBACK for e in self.events):
            self.note(EventKind.FURTHEST)
            self.note(EventKind.ROLLBACK)
        self.sense = sense


def ride(machine: Machine) -> Ride:
    """The whole run; where nothing ever stops the car, up to where that is sure."""
    run = Ride(machine)
    if not run.starts:
        return run
    run.note(EventKind.LAUNCH)
    for _ in range(_MOST_LEGS):
        if not run.step():
            return run
    raise ArithmeticError(f"the run has more than {_MOST_LEGS} legs")
