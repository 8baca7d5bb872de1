"""Why a run went farther or less far than expected: the drive, or the coast after it.

Both are separated at a place where nothing drives any more. Without air, what is left from there
grows with the square of the speed and falls with the resistance. So the speed there says what the
drive did to the distance, and the rest is the coast's.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from unspool.finding import Finding
from unspool.model.outcome import Prediction
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.types import Reading

Array = NDArray[np.float64]

AFTER_RELEASE = 1.03  # times the expected place, for a string that lets go late
MARGIN_M = 0.1
WINDOW = 0.2  # of what is left: the speed is a line's through the squares in it
FEWEST = 4
SHARE = 0.6  # of both parts' sizes: below it neither is the likely cause


class Cause(StrEnum):
    """What a difference is due to if no finding says more."""

    ROLLING = "rolling"
    DRIVE = "drive"


# Findings that explain a drive that did less, or more, than expected. Turns that are not as said
# come first: what string and weight did after them may be due to them.
_WOUND = (ReadingCode.TIERS_IN_WRONG_ORDER, ReadingCode.WINDING_DIFFERS)
_LESS = (
    *_WOUND,
    ReadingCode.WEIGHT_LANDED_FIRST,
    ReadingCode.EARLY_RELEASE,
    ReadingCode.STRING_HELD,
)
_MORE = (*_WOUND, ReadingCode.RELEASED_LATE)


def cause_of(reading: Reading) -> Cause | ReadingCode | None:
    """The most likely cause of the reading's difference from its prediction, None for none."""
    way_out = slice(reading.motion.legs[0] if reading.motion.legs else None)
    return likely_cause(
        reading.prediction,
        reading.motion.distance_m[way_out],
        reading.motion.speed_m_s[way_out],
        reading.distance_m,
        reading.findings,
    )


def likely_cause(
    prediction: Prediction,
    distance_m: Array,
    speed_m_s: Array,
    stop_m: float,
    findings: Sequence[Finding] = (),
) -> Cause | ReadingCode | None:
    """distance_m, speed_m_s: (n,) from the launch; stop_m: where the car came to rest."""
    if not isfinite(prediction.distance_m):
        return None
    off = stop_m - prediction.distance_m
    parts = _parts(prediction, distance_m, speed_m_s, stop_m)
    if parts is None:
        # It stopped before it could coast: only a finding can say why.
        return _found(findings, _LESS) if off < 0.0 else None
    drive, rolling = parts
    main = max(parts, key=lambda part: part * off)
    if abs(main) < SHARE * (abs(drive) + abs(rolling)):
        return None
    if main == rolling:
        return Cause.ROLLING
    return _found(findings, _MORE if off > 0.0 else _LESS) or Cause.DRIVE


def _parts(p: Prediction, x: Array, v: Array, stop_m: float) -> tuple[float, float] | None:
    """Metres more than expected by the drive, and by the coast; they add up to the difference."""
    if len(x) < FEWEST:
        return None
    at = max(AFTER_RELEASE * (p.release_m or 0.0), float(x[int(np.argmax(v))])) + MARGIN_M
    left = p.distance_m - at
    was = _square_at(at, left, p.curve.distance_m, p.curve.speed_m_s)
    came = _square_at(at, stop_m - at, x, v)
    if was is None or came is None:
        return None
    drive = left * (came / was - 1.0)
    return drive, stop_m - p.distance_m - drive


def _square_at(at: float, left: float, x: Array, v: Array) -> float | None:
    """v^2 at a place, None if too little follows it."""
    near = (x >= at) & (x <= at + WINDOW * left)
    if np.count_nonzero(near) < FEWEST:
        return None
    _, square = np.polyfit(x[near] - at, np.square(v[near]), 1)
    return float(square) if square > 0.0 else None


def _found(findings: Sequence[Finding], codes: Sequence[ReadingCode]) -> ReadingCode | None:
    known = {finding.code for finding in findings}
    return next((code for code in codes if code in known), None)
