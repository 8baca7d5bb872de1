"""Many runs side by side, segment by segment: the rules of `simulate`, an array at a time.

All runs that still move take a segment at once; each segment ends where its own run's next event
is. Only closed forms are used. Events are not kept, only what a choice between windings needs.
"""

from __future__ import annotations

import numpy as np

from unspool.model.batch_events import act
from unspool.model.batch_params import BatchParams
from unspool.model.batch_segments import BatchSegment, next_segments
from unspool.model.batch_state import BatchState
from unspool.model.batch_totals import add_totals
from unspool.model.states import StringState
from unspool.model.tolerances import MOST_SEGMENTS


def simulate_batch(params: BatchParams, mark_m: float | None) -> BatchState:
    """All runs at their ends; those that nothing stops, up to the place where that is certain.

    Raises ArithmeticError if a run has no end within MOST_SEGMENTS.
    """
    state = BatchState(params, mark_m)
    # Branches that np.where throws away divide by 0.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for _ in range(MOST_SEGMENTS):
            if not len(state.live):
                return state
            segment = next_segments(state)
            add_totals(state, segment)
            _advance(state, segment)
            act(state, segment)
    raise ArithmeticError(f"a run has more than {MOST_SEGMENTS} segments")


def _advance(state: BatchState, segment: BatchSegment) -> None:
    row, lever = segment.row, segment.lever
    taut, slack = (segment.string == one for one in (StringState.TAUT, StringState.SLACK))
    fallen = np.where(slack, state.fallen_after(row, segment.time), state.fallen_m[row])
    state.fallen_m[row] = fallen + np.where(taut, lever * segment.length, 0.0)
    speed = state.weight_speed[row] + np.where(slack, state.gravity(row) * segment.time, 0.0)
    state.weight_speed[row] = np.where(taut & segment.moves, lever * segment.v1, speed)
    state.x[row] = segment.x + segment.direction * segment.length
    state.v[row], state.t[row] = segment.v1, state.t[row] + segment.time
    forward_speed = np.where(segment.direction > 0, segment.v1, 0.0)
    state.peak_speed[row] = np.maximum(state.peak_speed[row], forward_speed)
    state.furthest_m[row] = np.maximum(state.furthest_m[row], state.x[row])
