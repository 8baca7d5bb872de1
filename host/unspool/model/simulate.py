"""A run as segments and events: what string, weight and floor do, one after the other.

A tier that is smaller than the one before it catches the weight, which falls faster than the string
now pays out. A larger tier lets the string go slack; then the weight and the pulley fall by
themselves until the string is taut again. A weight that lands leaves the energy of its fall in the
cradle, and the rest of the string unwinds slack. A car that comes to rest while the weight still
hangs on it is held there. Without rolling resistance a run has no end. It is simulated until
nothing lies ahead, or until the car swings between two slopes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf

from unspool.model import forces
from unspool.model.outcome import Event, EventKind
from unspool.model.params import Params, TierPath
from unspool.model.segments import Dynamics, Segment, solve_segment
from unspool.model.states import SegmentEnd, StringState
from unspool.model.timeline import Catch, PlacedSegment
from unspool.model.tolerances import (
    MOST_SEGMENTS,
    SAME_LEVER,
    SAME_PLACE_M,
    SETTLING_LENGTHS,
    SMALLEST_SWING_M,
)


@dataclass
class Simulation:
    """The state of a run under way, and all that happened in it; `simulate` returns it at the end.

    `x`: place in m along the floor. `v`: speed in m/s along `direction` (1 or -1), never below 0.
    `t`: time in s from the launch. `fallen_m`, `weight_speed`: the weight's fall. `last_rest_m`:
    where the car stood still before it rolled on. `never_stops`: nothing ahead can stop it.
    """

    params: Params
    x: float = 0.0
    v: float = 0.0
    t: float = 0.0
    direction: int = 1
    fallen_m: float = 0.0
    weight_speed: float = 0.0
    string: StringState = StringState.TAUT
    tier_index: int = 0
    segments: list[PlacedSegment] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    catches: list[Catch] = field(default_factory=list)
    last_rest_m: float = -inf
    next_level_m: float = inf
    landing_j: float = 0.0
    drive_j: float = 0.0
    never_stops: bool = False

    @property
    def rest_m(self) -> float:
        """Where the car comes to rest; infinite if nothing stops it."""
        return inf if self.never_stops else self.x

    @property
    def rest_s(self) -> float:
        """When the car comes to rest; infinite if nothing stops it."""
        return inf if self.never_stops else self.t

    @property
    def furthest_m(self) -> float:
        """The farthest point that it reaches; infinite if it rolls on forwards for ever."""
        if self.never_stops and self.next_level_m == inf:
            return inf
        return max((event.distance_m for event in self.events), default=0.0)

    @property
    def tier(self) -> TierPath:
        return self.params.tiers[self.tier_index]

    @property
    def starts(self) -> bool:
        return self.start_margin > 1.0

    @property
    def start_margin(self) -> float:
        """Drive force over what holds the car at rest; infinite if the floor alone starts it."""
        p = self.params
        if not p.tiers:
            return 0.0
        slope = p.slope(0.0, 1)
        needed = p.holding_n(slope) + p.grade_n(slope)
        return forces.start_margin(p.drive_n(p.tiers[0].lever), needed)

    def note(
        self, kind: EventKind, from_tier: str | None = None, to_tier: str | None = None
    ) -> None:
        speed = self.direction * self.v
        self.events.append(Event(kind, self.t, self.x, speed, from_tier=from_tier, to_tier=to_tier))

    def dynamics(self) -> Dynamics:
        """The equation of motion from here on."""
        p = self.params
        slope = p.slope(self.x, self.direction)
        net = -p.rolling_n(slope) - self.direction * p.grade_n(slope)
        if self.string is not StringState.TAUT:
            return Dynamics(net, p.drag_kg_m, p.coasting_kg, p.linear_n_s_m)
        lever, change = self.tier.lever_at(self.x), self.tier.lever_per_m
        net += p.drive_n(lever)
        if change == 0.0:
            mass = forces.accelerated_mass(p.coasting_kg, p.moving_kg, lever)
            return Dynamics(net, p.drag_kg_m, mass, p.linear_n_s_m)
        return Dynamics(
            net, p.drag_kg_m, p.coasting_kg, p.linear_n_s_m,
            p.drive_n(change), p.moving_kg, lever, change,
        )  # fmt: skip

    def step(self) -> bool:
        """Rolls one segment and does what ends it. Returns False when the run is over."""
        self.next_level_m = self.params.next_level(self.x, self.direction)
        dynamics = self.dynamics()
        length, end = self._next_end()
        if length > SAME_PLACE_M:
            if dynamics.net_n >= 0.0 and length == inf:
                self.never_stops = True
                return False
            length, end = self._split(dynamics, length, end)
            segment = solve_segment(dynamics, self.v, length)
            segment, end = self._until_caught(segment, end)
            self._advance(segment)
            if segment.v1 == 0.0:
                return self._standstill()
        self._act(end)
        return True

    def _next_end(self) -> tuple[float, SegmentEnd]:
        """Distance in m to the next thing that ends a segment, and what it is."""
        distances: dict[SegmentEnd, float] = {}
        if self.string is StringState.TAUT:
            left = self.params.drop_m - self.fallen_m
            distances[SegmentEnd.LANDING] = self.tier.distance_to_pay(left, self.x)
        if self.string is not StringState.GONE and self.direction > 0:
            distances[SegmentEnd.TIER_END] = self.tier.end_m - self.x
        distances[SegmentEnd.LEVEL] = self.direction * (self.next_level_m - self.x)
        end = min(distances, key=lambda one: (distances[one], one))
        return distances[end], end

    def _split(
        self, dynamics: Dynamics, length: float, end: SegmentEnd
    ) -> tuple[float, SegmentEnd]:
        """The length, cut to what the closed form can resolve."""
        drag = dynamics.drag_kg_m
        if drag == 0.0 or dynamics.net_n < 0.0 or dynamics.at_terminal_speed(self.v):
            return length, end
        longest = SETTLING_LENGTHS * dynamics.mass_kg / drag
        return (longest, SegmentEnd.SPLIT) if longest < length else (length, end)

    def _advance(self, segment: Segment) -> None:
        slope = self.params.slope(self.x, self.direction)
        placed = PlacedSegment(
            segment, self.string, self.tier, self.x, self.t, self.direction, slope
        )
        self.segments.append(placed)
        self.x, self.t, self.v = placed.x1_m, self.t + segment.time_s, segment.v1
        if self.string is StringState.TAUT:
            self._lower_weight(placed)
        elif self.string is StringState.SLACK:
            self.fallen_m += self._free_fall_m(segment.time_s)
            self.weight_speed += self._gravity() * segment.time_s

    def _lower_weight(self, placed: PlacedSegment) -> None:
        p, segment, tier = self.params, placed.segment, placed.tier
        before = segment.v0 * tier.lever_at(placed.x0_m)
        after = segment.v1 * tier.lever_at(self.x)
        paid = tier.paid_at(self.x) - tier.paid_at(placed.x0_m)
        self.drive_j += forces.drive_loss(p.efficiency, p.weight_kg, paid, before, after)
        self.fallen_m += paid
        self.weight_speed = after

    def _gravity(self) -> float:
        return forces.free_fall(self.params.weight_kg, self.params.hanging_kg)

    def _free_fall_m(self, time_s: float) -> float:
        """How far the weight falls by itself in that time."""
        return (self.weight_speed + 0.5 * self._gravity() * time_s) * time_s

    def _act(self, end: SegmentEnd) -> None:
        if end is SegmentEnd.LANDING:
            self._land()
        elif end is SegmentEnd.TIER_END and self.tier_index + 1 == len(self.params.tiers):
            self._release()
        elif end is SegmentEnd.TIER_END:
            self._next_tier()
        elif end is SegmentEnd.CAUGHT:
            self._catch()
        elif end is SegmentEnd.LEVEL:
            self.x = self.next_level_m

    def _land(self) -> None:
        self._stop_weight()
        self.fallen_m = self.params.drop_m
        self.string = StringState.LANDED
        if self.params.tiers[-1].end_m - self.x > SAME_PLACE_M:
            self.note(EventKind.LANDING)

    def _stop_weight(self) -> None:
        """The energy of its fall ends in the cradle."""
        self.landing_j += 0.5 * self.params.hanging_kg * self.weight_speed**2
        self.weight_speed = 0.0

    def _release(self) -> None:
        self._stop_weight()
        self.string = StringState.GONE
        self.note(EventKind.RELEASE)

    def _next_tier(self) -> None:
        before = self.tier
        self.tier_index += 1
        self.note(EventKind.TIER_CHANGE, before.name, self.tier.name)
        if self.string is StringState.TAUT:
            if self.tier.lever <= before.lever_at(before.end_m) * SAME_LEVER:
                self._catch()
            else:
                self.string = StringState.SLACK

    def _catch(self) -> None:
        p, lever = self.params, self.tier.lever_at(self.x)
        closing = self.weight_speed - self.v * lever
        v, lost = forces.catch(
            self.v, self.weight_speed, lever, p.coasting_kg, p.moving_kg, p.hanging_kg
        )
        self.catches.append(Catch(closing, lever, self.tier.paid_at(self.x), lost))
        self.v, self.weight_speed, self.string = v, v * lever, StringState.TAUT

    def _until_caught(self, segment: Segment, end: SegmentEnd) -> tuple[Segment, SegmentEnd]:
        """The segment, cut where the falling weight lands or draws the string taut."""
        if self.string is not StringState.SLACK:
            return segment, end

        def excess(s: float) -> float:
            """How far the weight is past the string or the cradle."""
            fallen = self.fallen_m + self._free_fall_m(segment.time_to(s))
            return max(fallen - self.tier.paid_at(self.x + s), fallen - self.params.drop_m)

        if excess(segment.length_m) < 0.0:
            return segment, end
        from scipy.optimize import brentq  # slow to load, and few runs take it

        # At the start the weight is level with the string, except for rounding.
        begin = min(SAME_PLACE_M, 0.5 * segment.length_m)
        length = begin
        if excess(begin) < 0.0:
            length = brentq(excess, begin, segment.length_m, xtol=1e-15)  # to the last digit
        cut = solve_segment(segment.dynamics, segment.v0, length)
        landed = self.params.drop_m < self.tier.paid_at(self.x + length)
        return cut, SegmentEnd.LANDING if landed else SegmentEnd.CAUGHT

    def _standstill(self) -> bool:
        """Returns whether the slope takes the car away again."""
        if self.string in (StringState.TAUT, StringState.SLACK):
            self.note(EventKind.STOP)
            return False
        swing, self.last_rest_m = abs(self.x - self.last_rest_m), self.x
        for direction in (-1, 1) if swing > SMALLEST_SWING_M else ():
            slope = self.params.slope(self.x, direction)
            if -direction * self.params.grade_n(slope) > self.params.holding_n(slope):
                self.never_stops = self.direction < 0 and self.params.never_stops
                self._turn(direction)
                return not self.never_stops
        self.note(EventKind.STOP)
        return False

    def _turn(self, direction: int) -> None:
        if direction < 0 and not any(e.kind is EventKind.ROLLBACK for e in self.events):
            self.note(EventKind.FURTHEST)
            self.note(EventKind.ROLLBACK)
        self.direction = direction


def simulate(params: Params) -> Simulation:
    """The whole run; if nothing ever stops the car, up to the place where that is certain.

    Raises ArithmeticError if the run has no end within MOST_SEGMENTS.
    """
    run = Simulation(params)
    if not run.starts:
        return run
    run.note(EventKind.LAUNCH)
    for _ in range(MOST_SEGMENTS):
        if not run.step():
            return run
    raise ArithmeticError(f"the run has more than {MOST_SEGMENTS} segments")
