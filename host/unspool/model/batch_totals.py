"""What each segment of many runs adds to their totals: energies, margins, the time at the mark."""

from __future__ import annotations

import numpy as np

from unspool.model import forces, limits
from unspool.model.batch_segments import BatchSegment
from unspool.model.batch_state import BatchState
from unspool.model.number import Floats, Indices
from unspool.model.states import SegmentEnd, StringState


def add_totals(state: BatchState, segment: BatchSegment) -> None:
    """Called before the runs advance, so that the state is still that of the segment's start."""
    p, row = state.params, segment.row
    state.air_j[row] += segment.air_j
    state.rolling_j[row] += p.rolling_n(row, segment.slope) * segment.length + segment.linear_j
    _note_mark(state, segment)
    taut = np.flatnonzero((segment.string == StringState.TAUT) & segment.moves)
    lever, driven = segment.lever[taut], row[taut]
    state.drive_j[driven] += forces.drive_loss(
        p.efficiency[driven],
        p.weight_kg[driven],
        lever * segment.length[taut],
        lever * segment.v[taut],
        lever * segment.v1[taut],
    )
    for v in (segment.v[taut], segment.v1[taut]):
        _note_margins(state, segment, taut, v)


def _note_mark(state: BatchState, segment: BatchSegment) -> None:
    if state.mark_m is None:
        return
    ahead = state.mark_m - segment.x
    rolled = np.where(segment.end == SegmentEnd.NEVER, np.inf, segment.length)
    waits = np.isnan(state.mark_s[segment.row])
    at = np.flatnonzero((segment.direction > 0) & (ahead >= 0.0) & (ahead <= rolled) & waits)
    s = ahead[at]
    time = segment.time_to(at, s)
    row = segment.row[at]
    state.mark_s[row] = state.t[row] + np.where(s > 0.0, time, 0.0)


def _note_margins(state: BatchState, segment: BatchSegment, at: Indices, v: Floats) -> None:
    """For the segments `at`, on which the string drives, at the speeds v."""
    p, row, slope = state.params, segment.row[at], segment.slope[at]
    braked = (segment.linear[at] + segment.drag[at] * v) * v
    a = (segment.net[at] - braked) / segment.mass[at]
    backward, down = limits.apparent_gravity(a, slope)
    com = (p.com_to_driven_axle_m[row], p.com_height_m[row])
    resistance = p.rolling_n(row, slope) + forces.grade_force(p.total_kg[row], slope)
    resistance += braked
    force = limits.tyre_force(p.coasting_kg[row], p.driven_axle_kg[row], a, resistance)
    share = limits.axle_share(backward, down, p.wheelbase_m[row], *com)
    grip = p.tyre_friction[row] * p.total_kg[row] * share / force
    traction = np.where(force > 0.0, grip, np.inf)
    tipping = np.where(backward > 0.0, limits.tipping_margin(backward, down, *com), np.inf)
    pull = limits.hanging_pull(p.weight_kg[row], segment.lever[at] * a)
    state.tension_n[row] = np.maximum(state.tension_n[row], pull)
    state.traction[row] = np.minimum(state.traction[row], traction)
    state.tipping[row] = np.minimum(state.tipping[row], tipping)
