"""Runs of a whole fleet side by side, leg by leg: the rules of `ride`, an array at a time.

All lanes that still move take a leg at once; each leg ends where its own lane's next event is. Only
what closed forms tell is here; events are not kept, only what a choice between windings needs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import elementwise

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces, limits, segments
from unspool.model.batch_legs import (
    CAUGHT,
    ENDLESS,
    LANDING,
    LEVEL,
    TIER_END,
    Indices,
    Leg,
    ahead,
    shortened,
    speed_squared_after,
    time_of,
)
from unspool.model.batch_limits import strain
from unspool.model.batch_params import Fleet, Floats

TAUT, SLACK, LANDED, GONE = range(4)
SAME_PLACE_M = 1e-9
SMALLEST_SWING_M = 1e-6
MOST_LEGS = 200_000


class Lanes:
    """The state of all lanes, (n,) each; `run` takes them to their ends."""

    def __init__(self, fleet: Fleet, mark_m: float | None) -> None:
        n = len(fleet)
        self.fleet, self.mark_m = fleet, mark_m
        self.x, self.v, self.t = np.zeros(n), np.zeros(n), np.zeros(n)
        self.fallen, self.sinking = np.zeros(n), np.zeros(n)
        self.rested = np.full(n, -np.inf)
        self.sense = np.ones(n)
        self.pull, self.index = np.zeros(n, dtype=np.int8), np.zeros(n, dtype=np.intp)
        self.furthest, self.peak = np.zeros(n), np.zeros(n)
        self.release_m, self.mark_s = np.full(n, np.nan), np.full(n, np.nan)
        self.rolling_j, self.air_j, self.drive_j = np.zeros(n), np.zeros(n), np.zeros(n)
        self.catches_j, self.landing_j = np.zeros(n), np.zeros(n)
        self.tension = limits.hanging_pull(fleet.weight_kg, np.zeros(n))
        self.traction, self.tipping = np.full(n, np.inf), np.full(n, np.inf)
        self.start_margin = self._start_margin()
        self.endless = np.zeros(n, dtype=np.bool_)
        self.live: Indices = np.flatnonzero(self.start_margin > 1.0)

    def run(self) -> None:
        """Lanes that nothing stops are taken to where that is sure."""
        # Branches that np.where throws away divide by 0.
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            for _ in range(MOST_LEGS):
                if not len(self.live):
                    return
                self._step()
        raise ArithmeticError(f"a run has more than {MOST_LEGS} legs")

    def _start_margin(self) -> Floats:
        f = self.fleet
        slope = np.full(len(f), f.slope[np.searchsorted(f.level_m, 0.0, side="right")])
        needed = forces.resistance(f.break_away, f.total_kg, f.constant_n, slope)
        needed += forces.grade_force(f.total_kg, slope)
        force = forces.drive_force(f.efficiency, f.weight_kg, f.tiers.lever[:, 0])
        return forces.start_margin(np.where(f.tiers.count > 0, force, 0.0), needed)

    def _resistance(self, lane: Indices, coefficient: Floats, slope: Floats) -> Floats:
        f = self.fleet
        return forces.resistance(coefficient[lane], f.total_kg[lane], f.constant_n[lane], slope)

    def _step(self) -> None:
        leg = self._law()
        self._catch_up(leg)
        self._solve(leg)
        self._account(leg)
        self._advance(leg)
        self._act(leg)
        self._standstill(leg)

    def _floor(self, x: Floats, sense: Floats) -> tuple[Floats, Floats]:
        """Slope ahead, and the place of the next level in that sense."""
        levels = self.fleet.level_m
        after = np.searchsorted(levels, x, side="right")
        before = np.searchsorted(levels, x, side="left")
        slope = self.fleet.slope[np.where(sense > 0, after, before)]
        ahead = np.append(levels, np.inf)[after]
        behind = np.insert(levels, 0, -np.inf)[before]
        return slope, np.where(sense > 0, ahead, behind)

    def _law(self) -> Leg:
        f, lane = self.fleet, self.live
        x, v, sense, pull = self.x[lane], self.v[lane], self.sense[lane], self.pull[lane]
        slope, place = self._floor(x, sense)
        lever = f.tiers.lever[lane, self.index[lane]]
        taut = pull == TAUT
        net = -self._resistance(lane, f.rolling, slope)
        net -= sense * forces.grade_force(f.total_kg[lane], slope)
        drive = forces.drive_force(f.efficiency[lane], f.weight_kg[lane], lever)
        net += np.where(taut, drive, 0.0)
        coasting = f.coasting_kg[lane]
        driven = forces.accelerated_mass(coasting, f.moving_kg[lane], lever)
        mass = np.where(taut, driven, coasting)
        drag = f.drag_kg_m[lane]
        way, what = self._next(lane, x, sense, pull, lever, place)
        moves = way > SAME_PLACE_M
        endless = np.isinf(way) & (net >= 0.0)
        what = np.where(endless, ENDLESS, what).astype(np.int8)
        way, moves = np.where(endless, 0.0, way), moves & ~endless
        way, what, stops = shortened(v, net, drag, mass, way, what, moves)
        empty = np.zeros(len(lane))
        return Leg(
            lane, x, v, sense, pull, slope, place, lever, net, drag, mass, way, what, moves, stops,
            empty, empty, empty,
        )  # fmt: skip

    def _next(
        self, lane: Indices, x: Floats, sense: Floats, pull: NDArray[np.int8],
        lever: Floats, place: Floats,
    ) -> tuple[Floats, NDArray[np.int8]]:  # fmt: skip
        """Way to the next event and which it is; of two in one place the first counts."""
        f = self.fleet
        landing = np.where(pull == TAUT, (f.drop_m[lane] - self.fallen[lane]) / lever, np.inf)
        on_drum = (pull != GONE) & (sense > 0)
        tier_end = np.where(on_drum, f.tiers.end_m[lane, self.index[lane]] - x, np.inf)
        ways = np.stack([landing, tier_end, sense * (place - x)])
        what = np.argmin(ways, axis=0)
        return ways[what, np.arange(len(lane))], what.astype(np.int8)

    def _catch_up(self, leg: Leg) -> None:
        """Cuts the legs on which the weight, falling by itself, lands or catches the string."""
        at = np.flatnonzero((leg.pull == SLACK) & leg.moves)
        if not len(at):
            return
        lane = leg.lane[at]
        f, begin = self.fleet, np.minimum(SAME_PLACE_M, 0.5 * leg.way[at])
        paid = f.tiers.paid_m[lane, self.index[lane]]
        paid = paid + leg.lever[at] * (leg.x[at] - f.tiers.begin_m[lane, self.index[lane]])
        args = (
            leg.v[at], leg.net[at], leg.drag[at], leg.mass[at], leg.lever[at],
            self.fallen[lane] - paid, self.fallen[lane] - f.drop_m[lane], self.sinking[lane],
            self._free_fall(lane),
        )  # fmt: skip
        early, late = ahead(begin, *args), ahead(leg.way[at], *args)
        caught = late >= 0.0
        found = elementwise.find_root(ahead, (begin, leg.way[at]), args=args)
        way = np.where(early >= 0.0, begin, np.where(found.success, found.x, leg.way[at]))
        leg.way[at] = np.where(caught, way, leg.way[at])
        fall = self._fall(lane, time_of(leg, at))
        lands = fall - f.drop_m[lane] > fall - paid - leg.lever[at] * leg.way[at]
        what = np.where(lands, LANDING, CAUGHT)
        leg.what[at] = np.where(caught, what, leg.what[at])
        leg.stops[at] &= ~caught

    def _free_fall(self, lane: Indices) -> Floats:
        return forces.free_fall(self.fleet.weight_kg[lane], self.fleet.hanging_kg[lane])

    def _fall(self, lane: Indices, time: Floats) -> Floats:
        speed = self.sinking[lane] + 0.5 * self._free_fall(lane) * time
        return self.fallen[lane] + speed * time

    def _solve(self, leg: Leg) -> None:
        everywhere = np.arange(len(leg.lane))
        v1 = np.sqrt(np.maximum(speed_squared_after(leg, everywhere), 0.0))
        leg.v1 = np.where(leg.moves, np.where(leg.stops, 0.0, v1), leg.v)
        leg.time = np.where(leg.moves, time_of(leg, everywhere), 0.0)
        air = segments.drag_work(leg.way, leg.v**2, leg.net, leg.drag, leg.mass)
        leg.air = np.where(leg.moves, air, 0.0)
        leg.way = np.where(leg.moves, leg.way, 0.0)

    def _account(self, leg: Leg) -> None:
        """Energies, margins and the mark's time of this leg."""
        f, lane = self.fleet, leg.lane
        self.air_j[lane] += leg.air
        self.rolling_j[lane] += self._resistance(lane, f.rolling, leg.slope) * leg.way
        self._mark(leg)
        taut = np.flatnonzero((leg.pull == TAUT) & leg.moves)
        paid = leg.lever[taut] * leg.way[taut]
        kept = 0.5 * leg.lever[taut] ** 2 * (leg.v1[taut] ** 2 - leg.v[taut] ** 2)
        weight, efficiency = f.weight_kg[lane[taut]], f.efficiency[lane[taut]]
        self.drive_j[lane[taut]] += (1 - efficiency) * weight * (STANDARD_GRAVITY * paid - kept)
        for v in (leg.v[taut], leg.v1[taut]):
            self._strain(leg, taut, v)

    def _mark(self, leg: Leg) -> None:
        if self.mark_m is None:
            return
        way = self.mark_m - leg.x
        rolled = np.where(leg.what == ENDLESS, np.inf, leg.way)
        at = np.flatnonzero(
            (leg.sense > 0) & (way >= 0.0) & (way <= rolled) & np.isnan(self.mark_s[leg.lane])
        )
        u1 = segments.speed_squared(
            way[at], leg.v[at] ** 2, leg.net[at], leg.drag[at], leg.mass[at]
        )
        v1 = np.sqrt(np.maximum(u1, 0.0))
        time = segments.duration(way[at], leg.v[at], v1, leg.net[at], leg.drag[at], leg.mass[at])
        self.mark_s[leg.lane[at]] = self.t[leg.lane[at]] + np.where(way[at] > 0.0, time, 0.0)

    def _strain(self, leg: Leg, at: Indices, v: Floats) -> None:
        lane = leg.lane[at]
        rolling = self._resistance(lane, self.fleet.rolling, leg.slope[at])
        pull, grip, held = strain(self.fleet, leg, at, v, rolling)
        self.tension[lane] = np.maximum(self.tension[lane], pull)
        self.traction[lane] = np.minimum(self.traction[lane], grip)
        self.tipping[lane] = np.minimum(self.tipping[lane], held)

    def _advance(self, leg: Leg) -> None:
        lane = leg.lane
        taut, slack = leg.pull == TAUT, leg.pull == SLACK
        fallen = np.where(slack, self._fall(lane, leg.time), self.fallen[lane])
        self.fallen[lane] = fallen + np.where(taut, leg.lever * leg.way, 0.0)
        sinking = self.sinking[lane] + np.where(slack, self._free_fall(lane) * leg.time, 0.0)
        self.sinking[lane] = np.where(taut & leg.moves, leg.lever * leg.v1, sinking)
        self.x[lane] = leg.x + leg.sense * leg.way
        self.v[lane], self.t[lane] = leg.v1, self.t[lane] + leg.time
        self.peak[lane] = np.maximum(self.peak[lane], np.where(leg.sense > 0, leg.v1, 0.0))
        self.furthest[lane] = np.maximum(self.furthest[lane], self.x[lane])

    def _act(self, leg: Leg) -> None:
        goes_on = ~leg.stops
        level = goes_on & (leg.what == LEVEL)
        self.x[leg.lane[level]] = leg.place[level]
        landing = leg.lane[goes_on & (leg.what == LANDING)]
        self._drop(landing)
        self.fallen[landing], self.pull[landing] = self.fleet.drop_m[landing], LANDED
        ended = leg.lane[goes_on & (leg.what == TIER_END)]
        last = self.index[ended] + 1 == self.fleet.tiers.count[ended]
        self._release(ended[last])
        self._next_tier(ended[~last])
        self._catch(leg.lane[goes_on & (leg.what == CAUGHT)])

    def _drop(self, lane: Indices) -> None:
        self.landing_j[lane] += 0.5 * self.fleet.hanging_kg[lane] * self.sinking[lane] ** 2
        self.sinking[lane] = 0.0

    def _release(self, lane: Indices) -> None:
        self._drop(lane)
        self.pull[lane], self.release_m[lane] = GONE, self.x[lane]

    def _next_tier(self, lane: Indices) -> None:
        levers = self.fleet.tiers.lever
        before = levers[lane, self.index[lane]]
        self.index[lane] += 1
        taut = self.pull[lane] == TAUT
        smaller = levers[lane, self.index[lane]] <= before * (1.0 + 1e-12)
        self._catch(lane[taut & smaller])
        self.pull[lane[taut & ~smaller]] = SLACK

    def _catch(self, lane: Indices) -> None:
        f = self.fleet
        lever = f.tiers.lever[lane, self.index[lane]]
        coasting, hanging, moving = f.coasting_kg[lane], f.hanging_kg[lane], f.moving_kg[lane]
        v0, sinking = self.v[lane], self.sinking[lane]
        v, lost = forces.catch(v0, sinking, lever, coasting, moving, hanging)
        paid = f.tiers.paid_m[lane, self.index[lane]]
        paid = paid + lever * (self.x[lane] - f.tiers.begin_m[lane, self.index[lane]])
        shock = limits.catch_tension(
            np.maximum(sinking - v0 * lever, 0.0), lever, f.drop_m[lane] + paid, hanging, coasting,
            f.strength_n[lane],
        )  # fmt: skip
        pull = limits.hanging_pull(f.weight_kg[lane], np.zeros(len(lane))) + shock
        self.tension[lane] = np.maximum(self.tension[lane], pull)
        self.catches_j[lane] += lost
        self.v[lane], self.sinking[lane], self.pull[lane] = v, v * lever, TAUT
        self.peak[lane] = np.maximum(self.peak[lane], v)

    def _standstill(self, leg: Leg) -> None:
        """Ends the lanes that came to rest for good, turns those that the slope takes back."""
        still = leg.stops
        lane, pull = leg.lane[still], leg.pull[still]
        x = self.x[lane]
        swings = (np.abs(x - self.rested[lane]) > SMALLEST_SWING_M) & (pull >= LANDED)
        self.rested[lane] = x
        turned = np.zeros(len(lane))
        for sense in (1.0, -1.0):
            slope, _ = self._floor(x, np.full(len(lane), sense))
            along = -sense * forces.grade_force(self.fleet.total_kg[lane], slope)
            held = self._resistance(lane, self.fleet.break_away, slope)
            turned = np.where(swings & (along > held), sense, turned)
        self.sense[lane] = np.where(turned != 0.0, turned, self.sense[lane])
        ended = leg.what == ENDLESS
        rolls_on = leg.lane[ended & (leg.sense > 0)]
        self.furthest[rolls_on] = np.inf
        self.endless[leg.lane[ended]] = True
        swung = (turned != 0.0) & (leg.sense[still] < 0) & self.fleet.free[lane]
        self.endless[lane[swung]] = True
        ended[still] = (turned == 0.0) | swung
        self.live = leg.lane[~ended]
