"""A run that did not start, or not as the weight alone would start it."""

from __future__ import annotations

import numpy as np

from unspool.finding import Finding, warning
from unspool.model.outcome import Prediction
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.match_winding import WindingMatch
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.motion.types import Motion

# Fewer edges may be a wheel that was only nudged.
_A_RUN_OF_EDGES = 40


def did_not_start(motion: Motion, prediction: Prediction) -> Finding:
    train = motion.train
    backwards = len(train) >= _A_RUN_OF_EDGES and bool(np.all(train.direction < 0))
    return warning(
        ReadingCode.DID_NOT_START,
        edges=len(train),
        backwards=backwards,
        starts=bool(prediction.starts),
        start_margin=float(prediction.start_margin),
    )


def of_start(match: WindingMatch, motion: Motion, hidden: bool) -> list[Finding]:
    """A start that was not seen, or a wheel that ran ahead of what the drum can give."""
    law = match.fit.law
    if motion.spun:
        return [_slipped(law, motion)]
    if law.launch_speed > 0.0 and hidden:
        return []  # it may well have set off in the slot before its first edge
    if law.launch_speed > 0.0:
        return [warning(ReadingCode.LAUNCH_NOT_SEEN, speed_m_s=float(law.launch_speed))]
    if not match.forced:
        return []
    first = match.forced[0]
    begin = law.changepoint_m[first - 1] if first else 0.0
    slipped = first == 0 and match.slipped
    code = ReadingCode.SLIP_AT_START if slipped else ReadingCode.HANDLED
    return [warning(code, begin_m=float(begin), end_m=float(law.changepoint_m[first]))]


def _slipped(law: PiecewiseLaw, motion: Motion) -> Finding:
    """A sliding tyre pushes its car steadily: the car goes half its speed times the time."""
    took = law.launch_s - motion.launch_s
    lost_m = max(law.begin_m - 0.5 * law.launch_speed * took, 0.0)
    return warning(
        ReadingCode.SLIP_AT_START,
        spun_s=float(took),
        turned_m=float(law.begin_m),
        lost_m=float(lost_m),
        grip_m_s=float(law.launch_speed),
    )
