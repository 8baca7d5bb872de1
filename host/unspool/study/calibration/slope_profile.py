"""The floor's slope profile, from runs over it.

On a floor that falls, a car gains speed that no loss explains, at the same place in every run. The
profile is straight between knots. Its slopes, the losses that the runs share and each run's own
part of them are fitted to all edges at once (least squares, as for one run, see run_fit.py). To
runs that go one way, the same slope everywhere looks like more or less rolling resistance. Only a
run back over the same floor separates the two.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt

import numpy as np

from unspool.car import Track
from unspool.errors import InputError
from unspool.finding import Finding, warning
from unspool.intervals import HALF_IN_SDS
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.slope_fit import Solved, solve
from unspool.study.calibration.slope_runs import FloorRun, SlopeRun
from unspool.study.calibration.types import Array

Progress = Callable[[int, int], None]
SPACING_M = 1.0  # of knots: floors bend over metres, and finer slopes trade with one another
MOST_KNOTS = 24  # bounds the time on a long way: each knot costs a solved run for each run
LEVEL_KNOWN = 0.001  # sd of the mean slope up to which runs both ways determine it


@dataclass(frozen=True)
class SlopeProfile:
    """Heights in m at distances (k,) along the floor, 0 at the first, with their 90 % interval.

    mean_slope_known is False if all runs went one way. Then heights are over the straight line from
    the first to the last point, and the mean slope hides in the rolling coefficient.
    In left_out are the runs whose drive was spoilt, or that fit no floor that fits the others.
    """

    distance_m: Array
    height_m: Array
    low_m: Array
    high_m: Array
    mean_slope_known: bool
    left_out: tuple[str, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """One for each run that was left out."""
        return tuple(warning(CalibrationCode.UNLIKE_FLOOR, run=name) for name in self.left_out)

    def track(self, laid: FloorRun) -> Track:
        """The floor as this run met it, under the air of the run's own track."""
        x, h = self.distance_m, self.height_m
        start = float(np.interp(laid.start_m, x, h))
        if laid.back:
            x, h = (laid.start_m - x)[::-1], h[::-1]
        else:
            x = x - laid.start_m
        levels = tuple(x.tolist()), tuple((h - start).tolist())
        name = f"{laid.run.track.name}, as its runs show"
        return replace(laid.run.track, name=name, distance_m=levels[0], height_m=levels[1])


def slope_profile(
    runs: Sequence[FloorRun], spacing_m: float = SPACING_M, progress: Progress | None = None
) -> SlopeProfile:
    """The profile that these runs of one car, or of cars alike, share.

    Levels in the runs' own tracks are not used. progress is called with the steps done and of all.
    Raises InputError when no run can be used.
    """
    found: list[SlopeRun] = []
    left_out: list[str] = []
    for i, placed in enumerate(runs):
        one = SlopeRun.of(placed)
        if one is None:
            left_out.append(placed.run.name)
        else:
            found.append(one)
        if progress is not None:
            progress(i + 1, len(runs) + 1)
    if not found:
        raise InputError("none of the runs can show the floor; check the car file and the runs")
    solved = solve(found, _knots(found, spacing_m))
    disagreeing = solved.disagreeing()
    if any(disagreeing):
        both = list(zip(found, disagreeing, strict=True))
        left_out += [one.placed.run.name for one, off in both if off]
        found = [one for one, off in both if not off]
        solved = solve(found, _knots(found, spacing_m))
    ways = {one.placed.back for one in found}
    return _profile(solved, left_out, both_ways=len(ways) == 2)


def _knots(runs: Sequence[SlopeRun], spacing_m: float) -> Array:
    ends = np.array([run.reach for run in runs])
    first, last = float(ends.min()), float(ends.max())
    count = min(max(ceil((last - first) / spacing_m), 1), MOST_KNOTS)
    return np.linspace(first, last, count + 1)


def _profile(solved: Solved, left_out: Sequence[str], both_ways: bool) -> SlopeProfile:
    x = solved.knots
    length = np.diff(x)
    rise = np.tril(np.ones((len(length), len(length)))) * length  # slopes -> heights past the first
    rise = np.vstack([np.zeros(len(length)), rise])
    mean = length / length.sum()
    # Edges far sharper than a derivative by differences feign a mean slope of runs one way.
    known = both_ways and sqrt(float(mean @ solved.covariance @ mean)) < LEVEL_KNOWN
    if not known:
        rise = rise - np.outer((x - x[0]), mean)
    height = rise @ solved.slope
    half = HALF_IN_SDS * np.sqrt(np.maximum(np.diag(rise @ solved.covariance @ rise.T), 0.0))
    return SlopeProfile(x, height, height - half, height + half, known, tuple(left_out))
