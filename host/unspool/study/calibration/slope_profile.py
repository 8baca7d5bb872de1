"""The floor's slope profile, from runs over it, together with the losses.

On a floor that falls, a car gains speed that no loss explains, at the same place in every run. The
profile's slope is a spline (floor.py). Its coefficients are unknowns of the joint fit
(joint_fit.py), beside the losses and the errors of the car file. So what one of them leaves open,
the others hold. To runs that go one way, the same slope everywhere looks like more or less rolling
resistance. Only a run back over the same floor separates the two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from statistics import median

import numpy as np

from unspool.car import Track
from unspool.finding import Finding, note, warning
from unspool.intervals import HIGH, LOW
from unspool.reading.events import analyse
from unspool.study.calibration.calibrate import Estimated, calibration_of, estimate
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.floor import UnknownFloor
from unspool.study.calibration.run_use import SPOILT_DRIVE, run_use
from unspool.study.calibration.types import Array, Calibration, CalibrationRun

Progress = Callable[[int, int], None]
# Of the spline's knots. Edges feel a tenth of a millimetre: what a floor bends within such a part
# would be taken for other wheels and another drive.
SPACING_M = 0.5
MOST_KNOTS = 48  # bounds the time on a long way: each knot costs a solved run for each run
LEVEL_KNOWN = 0.001  # sd of the mean slope up to which runs both ways determine it
# A floor's unevenness makes every run leave the model. One that leaves it by so many slots, and by
# so many times more than the others do, fits no floor that fits them.
DISAGREES_SLOTS, DISAGREES_TIMES = 0.5, 4.0
# A level floor looks this uneven once in so many cases, by errors of measuring and of the runs.
BY_CHANCE = 0.01


@dataclass(frozen=True)
class FloorRun:
    """A run and where it lies: launched at start_m on the floor, back if towards 0."""

    run: CalibrationRun
    start_m: float = 0.0
    back: bool = False

    @property
    def reach(self) -> tuple[float, float]:
        """The two ends of the run on the floor, the lesser first."""
        way = self.run.reading.motion.furthest_m
        end = self.start_m - way if self.back else self.start_m + way
        return min(self.start_m, end), max(self.start_m, end)


@dataclass(frozen=True)
class SlopeProfile:
    """Heights in m at distances (k,) along the floor, 0 at the first, with their 90 % interval.

    - mean_slope_known: False if all runs went one way, or those back do not suffice. Then heights
      are over the straight line from the first to the last point, and the mean slope hides in the
      rolling coefficient.
    - shown: whether the runs show any unevenness. If not, a level floor explains them as well.
    - left_out: the runs that fit no floor that fits the others.
    """

    distance_m: Array
    height_m: Array
    low_m: Array
    high_m: Array
    mean_slope_known: bool
    shown: bool
    left_out: tuple[str, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Runs that were left out, and what would show more of the floor."""
        return tuple(self._findings())

    def _findings(self) -> Iterator[Finding]:
        for name in self.left_out:
            yield warning(CalibrationCode.UNLIKE_FLOOR, run=name)
        if not self.shown:
            half = 0.5 * float(np.max(self.high_m - self.low_m))
            yield note(CalibrationCode.FLOOR_NOT_SHOWN, half_m=half)
        if not self.mean_slope_known:
            yield note(CalibrationCode.FLOOR_ONE_WAY)

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


def calibrate_with_floor(
    runs: Sequence[FloorRun], spacing_m: float = SPACING_M, progress: Progress | None = None
) -> tuple[Calibration, SlopeProfile]:
    """The losses that these runs of one car, or of cars alike, share, and the floor under them.

    Levels in the runs' own tracks are not used. progress is called with the rounds of fitting done
    and of all. Raises InputError when no run can be used.
    """
    sound = [_without_accusation(one) for one in runs]
    floor = _unknown(sound, spacing_m)
    found = estimate([one.run for one in sound], floor, progress)
    odd = _disagreeing(found)
    left_out = [one.run.name for one, off in zip(runs, odd, strict=True) if off]
    read = [
        _read_on(_profile(found, floor, left_out), one)
        for one, off in zip(runs, odd, strict=True)
        if not off
    ]
    if any(odd) or any(run_use(one.run).drive_spoilt for one in read):
        floor = _unknown(read, spacing_m)
        found = estimate([one.run for one in read], floor, progress)
    profile = _profile(found, floor, left_out)
    return calibration_of(found.on([profile.track(one) for one in read])), profile


def _without_accusation(one: FloorRun) -> FloorRun:
    """On a floor taken for level, a bump looks like a string that was held."""
    reading = one.run.reading
    findings = tuple(f for f in reading.findings if f.code not in SPOILT_DRIVE)
    return replace(one, run=replace(one.run, reading=replace(reading, findings=findings)))


def _read_on(profile: SlopeProfile, one: FloorRun) -> FloorRun:
    """Read again on the floor that was found, if the first reading accused the drive."""
    run = one.run
    if not run_use(run).drive_spoilt:
        return one
    reading = analyse(run.reading.motion.train, run.car, profile.track(one), run.winding)
    return replace(one, run=replace(run, reading=reading))


def _unknown(runs: Sequence[FloorRun], spacing_m: float) -> UnknownFloor:
    ends = np.array([run.reach for run in runs]).reshape(-1, 2)
    first, last = (float(ends.min()), float(ends.max())) if len(ends) else (0.0, 1.0)
    last = max(last, first + 0.1)
    count = min(max(ceil((last - first) / spacing_m), 1), MOST_KNOTS)
    return UnknownFloor.over(first, last, count, tuple((run.start_m, run.back) for run in runs))


def _disagreeing(found: Estimated) -> list[bool]:
    """For each run whether it is off by far more than the others."""
    rms = [one.fit.rms_slots if one.fit else 0.0 for one in found.fitted]
    used = [off for off in rms if off > 0.0]
    limit = max(DISAGREES_SLOTS, DISAGREES_TIMES * median(used))
    return [off > limit for off in rms]


def _profile(found: Estimated, floor: UnknownFloor, left_out: Sequence[str]) -> SlopeProfile:
    x, heights = floor.edge_m, floor.heights(found.slopes)
    both_ways = len({back for _, back in floor.placed}) == 2
    # Edges far sharper than a derivative by differences feign a mean slope of runs one way.
    mean = found.slopes @ floor.mean
    known = both_ways and float(mean.std()) < LEVEL_KNOWN
    if not known:
        heights = heights - mean[:, None] * (x - x[0])
        heights[:, -1] = 0.0  # and not what rounding leaves
    low, high = np.quantile(heights, [LOW, HIGH], axis=0)
    # The same slope everywhere is a spline whose coefficients are all alike.
    shown = _uneven(found.slopes if known else np.diff(found.slopes, axis=1))
    return SlopeProfile(x, heights.mean(axis=0), low, high, known, shown, tuple(left_out))


def _uneven(slopes: Array) -> bool:
    """Whether these draws (n, k) exclude that all of them are 0."""
    from scipy.stats import chi2  # slow to load, and many commands do without it

    mean = slopes.mean(axis=0)
    # In directions that no run shows, a slope keeps its prior and shows nothing.
    distance = float(mean @ np.linalg.solve(np.cov(slopes.T), mean))
    return distance > float(chi2.isf(BY_CHANCE, len(mean)))
