"""The next segment of each run that still moves, in closed form: the rules of `segments`.

Without a linear drag the form over the way is used, and with one the form over time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.model import closed_form, forces
from unspool.model.batch_state import BatchState
from unspool.model.number import Flags, Floats, Indices
from unspool.model.states import SegmentEnd, StringState
from unspool.model.three_term_law import ThreeTermLaw
from unspool.model.tolerances import SAME_PLACE_M, SETTLING_LENGTHS

Ends = NDArray[np.int8]


@dataclass
class BatchSegment:
    """One segment of each run in `row`; all arrays are (m,).

    `x`, `v`, `direction`, `string`: where it starts. `net`, `linear`, `drag`, `mass`: its equation
    of motion. `end`: a SegmentEnd. `moves`: whether it has a length at all. `stops`:
    whether the car comes to rest in it.
    """

    row: Indices
    x: Floats
    v: Floats
    direction: Floats
    string: NDArray[np.int8]
    slope: Floats
    next_level_m: Floats
    lever: Floats
    net: Floats
    linear: Floats
    drag: Floats
    mass: Floats
    length: Floats
    end: Ends
    moves: Flags
    stops: Flags
    v1: Floats
    time: Floats
    air_j: Floats
    linear_j: Floats

    def dynamics(self, at: Indices) -> tuple[Floats, Floats, Floats]:
        """Net force, drag and mass, as closed_form takes them."""
        return self.net[at], self.drag[at], self.mass[at]

    def law(self, at: Indices) -> ThreeTermLaw:
        """For segments with a linear drag."""
        net, linear, drag, mass = self.net[at], self.linear[at], self.drag[at], self.mass[at]
        return ThreeTermLaw.of(self.v[at], net, linear, drag, mass)

    def time_to(self, at: Indices, s: Floats) -> Floats:
        """Times in s from the segments' starts to distances s in m, not past a standstill."""
        return _time_to(s, self.v[at], *self.dynamics(at), self.linear[at])


def next_segments(state: BatchState) -> BatchSegment:
    """The segments that the live runs roll next, with their ends."""
    segment = _begin(state)
    _cut_where_caught(state, segment)
    every = np.arange(len(segment.row))
    v1 = np.sqrt(np.maximum(_speed_squared_after(segment, every), 0.0))
    segment.v1 = np.where(segment.moves, np.where(segment.stops, 0.0, v1), segment.v)
    segment.time = np.where(segment.moves, _time(segment, every), 0.0)
    air = closed_form.drag_work(segment.length, segment.v**2, *segment.dynamics(every))
    segment.air_j = np.where(segment.moves, air, 0.0)
    _roll_against_linear_drag(segment)
    segment.length = np.where(segment.moves, segment.length, 0.0)
    return segment


def _roll_against_linear_drag(segment: BatchSegment) -> None:
    at = np.flatnonzero(segment.moves & (segment.linear > 0.0))
    if not len(at):
        return
    law, stops = segment.law(at), segment.stops[at]
    time = law.standstill_s()
    time[~stops] = np.minimum(segment.time_to(at, segment.length[at]), time)[~stops]
    square, cube = law.powers(time)
    segment.time[at] = time
    segment.v1[at] = np.where(stops, 0.0, law.at(time)[1])
    segment.air_j[at], segment.linear_j[at] = segment.drag[at] * cube, segment.linear[at] * square


def _begin(state: BatchState) -> BatchSegment:
    p, row = state.params, state.live
    x, v, direction, string = state.x[row], state.v[row], state.direction[row], state.string[row]
    slope, next_level = p.floor_ahead(x, direction)
    lever = state.lever(row)
    taut = string == StringState.TAUT
    net = -p.rolling_n(row, slope) - direction * forces.grade_force(p.total_kg[row], slope)
    net += np.where(taut, forces.drive_force(p.efficiency[row], p.weight_kg[row], lever), 0.0)
    coasting, linear, drag = p.coasting_kg[row], p.linear_n_s_m[row], p.drag_kg_m[row]
    mass = np.where(taut, forces.accelerated_mass(coasting, p.moving_kg[row], lever), coasting)
    length, end = _next_end(state, row, lever, next_level)
    moves = length > SAME_PLACE_M
    never = np.isinf(length) & (net >= 0.0)
    end = np.where(never, SegmentEnd.NEVER, end).astype(np.int8)
    length, moves = np.where(never, 0.0, length), moves & ~never
    length, end, stops = _shortened(v, (net, drag, mass), linear, length, end, moves)
    unknown = np.zeros(len(row))
    return BatchSegment(
        row, x, v, direction, string, slope, next_level, lever, net, linear, drag, mass, length,
        end, moves, stops, v1=unknown, time=unknown, air_j=unknown, linear_j=unknown.copy(),
    )  # fmt: skip


def _next_end(
    state: BatchState, row: Indices, lever: Floats, next_level: Floats
) -> tuple[Floats, Ends]:
    """Distance to the next end and which it is; of two at one place the first counts."""
    p, x, direction, string = state.params, state.x[row], state.direction[row], state.string[row]
    left = p.drop_m[row] - state.fallen_m[row]
    landing = np.where(string == StringState.TAUT, left / lever, np.inf)
    on_drum = (string != StringState.GONE) & (direction > 0)
    tier_end = np.where(on_drum, p.tiers.end_m[row, state.tier[row]] - x, np.inf)
    # In the order of SegmentEnd.
    distances = np.stack([landing, tier_end, direction * (next_level - x)])
    end = np.argmin(distances, axis=0)
    return distances[end, np.arange(len(row))], end.astype(np.int8)


def _shortened(
    v: Floats,
    dynamics: tuple[Floats, Floats, Floats],
    linear: Floats,
    length: Floats,
    end: Ends,
    moves: Flags,
) -> tuple[Floats, Ends, Flags]:
    """The length cut to a standstill, and to what the closed form can resolve."""
    net, drag, mass = dynamics
    steady = closed_form.at_terminal_speed(v, net, drag)
    settles = (drag > 0.0) & (net >= 0.0) & ~steady
    longest = np.where(settles, SETTLING_LENGTHS * mass / drag, np.inf)
    end = np.where(moves & (longest < length), SegmentEnd.SPLIT, end).astype(np.int8)
    length = np.where(moves, np.minimum(longest, length), length)
    slowing = np.where(net < 0.0, net, -1.0)
    stop = closed_form.distance_to_speed(v**2, np.zeros(len(v)), slowing, drag, mass)
    if np.any(linear > 0.0):
        law = ThreeTermLaw.of(v, slowing, linear, drag, mass)
        stop = np.where(linear > 0.0, law.at(law.standstill_s())[0], stop)
    stops = moves & (net < 0.0) & (stop <= length)
    return np.where(stops, stop, length), end, stops


def _cut_where_caught(state: BatchState, segment: BatchSegment) -> None:
    """Cuts the segments in which the falling weight lands or draws the string taut."""
    at = np.flatnonzero((segment.string == StringState.SLACK) & segment.moves)
    if not len(at):
        return
    from scipy.optimize import elementwise  # slow to load, and few runs take it

    row, lever, length = segment.row[at], segment.lever[at], segment.length[at]
    drop = state.params.drop_m[row]
    paid = state.params.paid_m(row, state.tier[row], segment.x[at])
    fallen, falling = state.fallen_m[row], (state.weight_speed[row], state.gravity(row))
    begin = np.minimum(SAME_PLACE_M, 0.5 * length)
    args = (
        segment.v[at], *segment.dynamics(at), segment.linear[at], lever, fallen - paid,
        fallen - drop, *falling,
    )  # fmt: skip
    early, late = _excess(begin, *args), _excess(length, *args)
    caught = late >= 0.0
    found = elementwise.find_root(_excess, (begin, length), args=args)
    cut = np.where(early >= 0.0, begin, np.where(found.success, found.x, length))
    segment.length[at] = np.where(caught, cut, length)
    lands = drop < paid + lever * segment.length[at]
    end = np.where(lands, SegmentEnd.LANDING, SegmentEnd.CAUGHT)
    segment.end[at] = np.where(caught, end, segment.end[at])
    segment.stops[at] &= ~caught


def _excess(
    s: Floats, v0: Floats, net: Floats, drag: Floats, mass: Floats, linear: Floats, lever: Floats,
    over_string: Floats, over_drop: Floats, weight_speed: Floats, gravity: Floats,
) -> Floats:  # fmt: skip
    """How far the falling weight is past the string or the cradle after the distance s."""
    t = _time_to(s, v0, net, drag, mass, linear)
    fall = (weight_speed + 0.5 * gravity * t) * t
    return np.maximum(fall + over_string - lever * s, fall + over_drop)


def _time_to(
    s: Floats, v0: Floats, net: Floats, drag: Floats, mass: Floats, linear: Floats
) -> Floats:
    u1 = np.maximum(closed_form.speed_squared(s, v0**2, net, drag, mass), 0.0)
    time = closed_form.duration(s, v0, np.sqrt(u1), net, drag, mass)
    if not np.any(linear > 0.0):
        return time
    law = ThreeTermLaw.of(v0, net, linear, drag, mass)
    return np.where(linear > 0.0, np.minimum(law.passing_s(s), law.standstill_s()), time)


def _speed_squared_after(segment: BatchSegment, at: Indices) -> Floats:
    return closed_form.speed_squared(segment.length[at], segment.v[at] ** 2, *segment.dynamics(at))


def _time(segment: BatchSegment, at: Indices) -> Floats:
    stops, v0, dynamics = segment.stops[at], segment.v[at], segment.dynamics(at)
    v1 = np.where(stops, 0.0, np.sqrt(np.maximum(_speed_squared_after(segment, at), 0.0)))
    stopping = closed_form.time_to_speed(v0, np.zeros(len(at)), *dynamics)
    passing = closed_form.duration(segment.length[at], v0, v1, *dynamics)
    steady = closed_form.at_terminal_speed(v0, segment.net[at], segment.drag[at])
    passing = np.where(steady, segment.length[at] / v0, passing)
    return np.where(stops, stopping, passing)
