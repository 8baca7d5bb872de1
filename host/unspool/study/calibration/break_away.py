"""The break-away from runs: the resistance at rest, which a car must beat to set off.

Each rest bounds it from one side. A car that set off pulled harder than it held. One that stayed on
the line held harder. One that came to rest on a slope, or rolled back from it, bounds it by the
slope's pull. Nothing that happens while the car rolls bounds it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf, isfinite, sqrt

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.finding import Finding, Severity, note, warning
from unspool.model.params import Params, params_of
from unspool.reading.events.codes import ReadingCode
from unspool.reading.motion import Motion
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.types import Calibration, CalibrationRun

# Nobody saw the launch, or it was not the string alone that moved the car.
LAUNCH_UNKNOWN = {ReadingCode.LAUNCH_NOT_SEEN, ReadingCode.HANDLED}
ROLLED_BACK_SLOTS = 2.0  # further than an edge missed at the turn could feign
NARROW = 0.3  # of the value: half the width up to which it counts as known


@dataclass(frozen=True)
class BreakAway:
    """low and high bound the coefficient; they are no quantiles but what the rests allow.

    - high: infinite if no run bounds it from above.
    - value: the car file's own, moved between the bounds.
    - finding: that runs contradict each other, or what would narrow the bounds, if either.
    """

    value: float
    low: float
    high: float
    known: bool
    finding: Finding | None


@dataclass(frozen=True)
class _Bound:
    run: str
    coefficient: float


def break_away(runs: Sequence[CalibrationRun], calibration: Calibration) -> BreakAway:
    """The bounds that these runs' rests set, given their calibrated losses."""
    held: list[_Bound] = []
    moved: list[_Bound] = []
    for run in runs:
        for holds, bound in _rests(run, calibration):
            (held if holds else moved).append(bound)
    rolling = _Bound("", calibration.term("rolling_coefficient").low)
    low = max([rolling, *held], key=lambda bound: bound.coefficient)
    high = min([_Bound("", inf), *moved], key=lambda bound: bound.coefficient)
    usual = calibration.losses().break_away_coefficient
    if low.coefficient > high.coefficient:
        low_high = high.coefficient, low.coefficient
        found = warning(CalibrationCode.RESTS_CONTRADICT, run=high.run, held_run=low.run or None)
        return BreakAway(min(max(usual, low_high[0]), low_high[1]), *low_high, False, found)
    value = min(max(usual, low.coefficient), high.coefficient)
    narrow = high.coefficient - low.coefficient < 2.0 * NARROW * value
    known = narrow and bool(low.run)
    advice = None if known else _advice(bool(held), low.coefficient, high.coefficient)
    return BreakAway(value, low.coefficient, high.coefficient, known, advice)


def _rests(run: CalibrationRun, calibration: Calibration) -> Iterator[tuple[bool, _Bound]]:
    """(whether the car held, bound) for each of a run's rests that bounds the coefficient."""
    m = params_of(calibration.calibrated(run.wound_car), run.track)
    codes = {f.code for f in run.reading.findings if f.severity is Severity.WARNING}
    efficiency = calibration.term("drive_efficiency")
    went = ReadingCode.DID_NOT_START not in codes
    if not codes & LAUNCH_UNKNOWN and m.tiers:
        # Each bound errs to the side on which it says less.
        share = efficiency.high if went else efficiency.low
        pull = share * m.weight_kg * STANDARD_GRAVITY * m.tiers[0].lever
        slope = m.slope(0.0, 1)
        yield not went, _Bound(run.name, _coefficient(m, pull - m.grade_n(slope), slope))
    if went and ReadingCode.CUT_SHORT not in codes:
        yield from _at_the_end(run.name, run.reading.motion, m)


def _at_the_end(name: str, motion: Motion, m: Params) -> Iterator[tuple[bool, _Bound]]:
    pitch = motion.furthest_m / max(motion.way_out, 1)
    back = motion.furthest_m - motion.stop_m
    slope = m.slope(motion.furthest_m, -1)
    if back > ROLLED_BACK_SLOTS * pitch:
        yield False, _Bound(name, _coefficient(m, m.grade_n(slope), slope))
    slope = abs(m.slope(motion.stop_m, 1))
    if slope > 0.0:
        yield True, _Bound(name, _coefficient(m, m.grade_n(slope), slope))


def _coefficient(m: Params, pull_n: float, slope: float) -> float:
    """The coefficient at which the car just holds against this pull."""
    load = m.total_kg * STANDARD_GRAVITY * sqrt(1.0 - slope * slope)
    return max(pull_n - m.constant_n, 0.0) / load


def _advice(held: bool, low: float, high: float) -> Finding:
    if not held:
        return note(CalibrationCode.NO_RUN_HELD)
    return note(CalibrationCode.BREAK_AWAY_WIDE, low=low, high=high if isfinite(high) else None)
