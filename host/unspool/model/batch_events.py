"""What happens to many runs where their segments end: the rules of `simulate`."""

from __future__ import annotations

import numpy as np

from unspool.model import forces, limits
from unspool.model.batch_segments import BatchSegment
from unspool.model.batch_state import BatchState
from unspool.model.number import Flags, Floats, Indices
from unspool.model.states import SegmentEnd, StringState
from unspool.model.tolerances import SAME_LEVER, SAME_PLACE_M, SMALLEST_SWING_M


def act(state: BatchState, segment: BatchSegment) -> None:
    """Does what ends each segment; runs that are over leave `state.live`."""
    goes_on = ~segment.stops
    level = goes_on & (segment.end == SegmentEnd.LEVEL)
    state.x[segment.row[level]] = segment.next_level_m[level]
    landing = segment.row[goes_on & (segment.end == SegmentEnd.LANDING)]
    _at_its_lever(state, landing)
    _stop_weight(state, landing)
    state.fallen_m[landing] = state.params.drop_m[landing]
    state.string[landing] = StringState.LANDED
    ended = segment.row[goes_on & (segment.end == SegmentEnd.TIER_END)]
    last = state.tier[ended] + 1 == state.params.tiers.count[ended]
    _at_its_lever(state, ended[last])
    _release(state, ended[last])
    _next_tier(state, ended[~last])
    caught = segment.row[goes_on & (segment.end == SegmentEnd.CAUGHT)]
    _catch(state, caught, state.lever(caught))
    _standstill(state, segment)


def _stop_weight(state: BatchState, row: Indices) -> None:
    """The energy of the weights' fall ends in the cradle."""
    state.landing_j[row] += 0.5 * state.params.hanging_kg[row] * state.weight_speed[row] ** 2
    state.weight_speed[row] = 0.0


def _release(state: BatchState, row: Indices) -> None:
    _stop_weight(state, row)
    state.string[row], state.release_m[row] = StringState.GONE, state.x[row]


def _next_tier(state: BatchState, row: Indices) -> None:
    tiers, before = state.params.tiers, state.lever(row)
    taut = state.string[row] == StringState.TAUT
    ended = tiers.ends[1, row, state.tier[row]]
    smooth = tiers.smooth[row, state.tier[row] + 1]
    _at_its_lever(state, row[~smooth])
    state.tier[row] += 1
    _go_over(state, row[taut & smooth], before[taut & smooth])
    begun = tiers.ends[0, row, state.tier[row]]
    smaller = begun <= ended * SAME_LEVER
    caught = taut & smaller & ~smooth
    _catch(state, row[caught], begun[caught])
    if tiers.tapers:
        _go_over(state, row[caught], begun[caught])
    state.string[row[taut & ~smaller & ~smooth]] = StringState.SLACK


def _at_its_lever(state: BatchState, row: Indices) -> None:
    """From the middle lever of a taper's part to the one at the place."""
    tiers = state.params.tiers
    row = row[state.string[row] == StringState.TAUT]
    if not tiers.tapers or not len(row):
        return
    tier = state.tier[row]
    begin_m, end_m = tiers.begin_m[row, tier], tiers.end_m[row, tier]
    share = (state.x[row] - begin_m) / np.maximum(end_m - begin_m, SAME_PLACE_M)
    begin, end = tiers.ends[:, row, tier]
    _go_over(state, row, tiers.lever[row, tier], begin + share * (end - begin))


def _go_over(state: BatchState, row: Indices, before: Floats, lever: Floats | None = None) -> None:
    """From lever `before` to another of the same taper, the tier's own if not given: no catch."""
    p, sank = state.params, state.weight_speed[row]
    lever = state.lever(row) if lever is None else lever
    coasting, moving = p.coasting_kg[row], p.moving_kg[row]
    mass = forces.accelerated_mass(coasting, moving, before)
    v = state.v[row] * np.sqrt(mass / forces.accelerated_mass(coasting, moving, lever))
    efficiency, weight = p.efficiency[row], p.weight_kg[row]
    nothing = np.zeros(len(row))
    state.drive_j[row] += forces.drive_loss(efficiency, weight, nothing, sank, v * lever)
    state.v[row], state.weight_speed[row] = v, v * lever
    state.peak_speed[row] = np.maximum(state.peak_speed[row], v)


def _catch(state: BatchState, row: Indices, lever: Floats) -> None:
    """The string catches the weight at this lever."""
    p, v0, weight_speed = state.params, state.v[row], state.weight_speed[row]
    coasting, hanging = p.coasting_kg[row], p.hanging_kg[row]
    v, lost = forces.catch(v0, weight_speed, lever, coasting, p.moving_kg[row], hanging)
    closing = np.maximum(weight_speed - v0 * lever, 0.0)
    free_string = p.drop_m[row] + p.paid_m(row, state.tier[row], state.x[row])
    strength = p.strength_n[row]
    shock = limits.catch_tension(closing, lever, free_string, hanging, coasting, strength)
    pull = limits.hanging_pull(p.weight_kg[row], np.zeros(len(row))) + shock
    state.tension_n[row] = np.maximum(state.tension_n[row], pull)
    state.catches_j[row] += lost
    state.v[row], state.weight_speed[row], state.string[row] = v, v * lever, StringState.TAUT
    state.peak_speed[row] = np.maximum(state.peak_speed[row], v)


def _standstill(state: BatchState, segment: BatchSegment) -> None:
    """Ends the runs that came to rest for good, turns those that the slope takes away again."""
    still = segment.stops
    row = segment.row[still]
    turned = _turned(state, row, segment.string[still] >= StringState.LANDED)
    state.direction[row] = np.where(turned != 0.0, turned, state.direction[row])
    over = segment.end == SegmentEnd.NEVER
    state.furthest_m[segment.row[over & (segment.direction > 0)]] = np.inf
    state.never_stops[segment.row[over]] = True
    backwards = segment.direction[still] < 0
    swings_on = (turned != 0.0) & backwards & state.params.never_stops[row]
    state.never_stops[row[swings_on]] = True
    over[still] = (turned == 0.0) | swings_on
    state.live = segment.row[~over]


def _turned(state: BatchState, row: Indices, free: Flags) -> Floats:
    """(m,) direction in which the slope takes each car away; 0 if it stays.

    free: whether the string no longer holds the car.
    """
    p, x = state.params, state.x[row]
    swings = (np.abs(x - state.last_rest_m[row]) > SMALLEST_SWING_M) & free
    state.last_rest_m[row] = x
    turned = np.zeros(len(row))
    # Of both, backwards wins, as it does for one run.
    for direction in (1.0, -1.0):
        slope, _ = p.floor_ahead(x, np.full(len(row), direction))
        along = -direction * forces.grade_force(p.total_kg[row], slope)
        turned = np.where(swings & (along > p.holding_n(row, slope)), direction, turned)
    return turned
