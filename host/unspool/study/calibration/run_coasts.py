"""The coasts of recorded runs, and what they say of the law of resistance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from unspool.finding import Finding, warning
from unspool.model.outcome import EventKind
from unspool.reading.events import Reading
from unspool.study.calibration.coasts import Coast, CoastLaw, fit_law
from unspool.study.calibration.codes import CalibrationCode

# Runs of one winding leave the string at nearly one speed: within this share they are repeats.
NEARLY = 0.03
# Calibration speaks up only if a constant resistance is as good as impossible.
SURE_CHANCE = 0.01
# Of the way from the drive's end to rest. A smoothed speed is a little low at that changepoint; and
# by then a string that held has let go.
PAST_THE_DRIVE = 0.1


def coast_begin_m(reading: Reading, pushed_m: float = 0.0) -> float:
    """The distance from which the run surely coasts, soon after the drive or a push ended.

    pushed_m: where a hand last pushed, 0 if none did.
    """
    free_m = max(_drive_end_m(reading) or reading.peak_at_m, pushed_m)
    return free_m + PAST_THE_DRIVE * (reading.motion.furthest_m - free_m)


def coast_of(reading: Reading) -> Coast | None:
    """The coast to rest, on a level floor.

    None if the edges do not show the drive's end or the rest, or the car rolled back.
    """
    motion, end_m = reading.motion, _drive_end_m(reading)
    way = motion.distance_m[: motion.way_out]
    if end_m is None or not motion.stop_seen or len(motion.legs) != 1:
        return None
    if not way[0] < end_m < way[-1]:
        return None
    from_m = coast_begin_m(reading)
    speed = float(np.interp(from_m, way, motion.speed_m_s[: motion.way_out]))
    return Coast(speed, motion.stop_m - from_m) if speed > 0.0 else None


def _drive_end_m(reading: Reading) -> float | None:
    ends = (EventKind.RELEASE, EventKind.LANDING)
    ended = [event.distance_m for event in reading.events if event.kind in ends]
    return max(ended, default=None)


def evened(coasts: Sequence[Coast]) -> list[Coast]:
    """Coasts from nearly one speed put to their mean speed, as repeats of each other.

    A distance goes along as the square of the speed: exact for a constant resistance, and wrong by
    a part of a percent for any other.
    """
    groups: list[list[Coast]] = []
    for coast in sorted(coasts, key=lambda one: one.speed_m_s):
        if groups and coast.speed_m_s <= (1.0 + NEARLY) * groups[-1][0].speed_m_s:
            groups[-1].append(coast)
        else:
            groups.append([coast])
    return [one for group in groups for one in _at_one_speed(group)]


def _at_one_speed(group: Sequence[Coast]) -> Iterator[Coast]:
    speed = sum(one.speed_m_s for one in group) / len(group)
    for one in group:
        yield replace(
            one, speed_m_s=speed, distance_m=one.distance_m * (speed / one.speed_m_s) ** 2
        )


def growing_drag(coasts: Sequence[Coast]) -> tuple[Finding, ...]:
    """A finding if these coasts reject a resistance that does not depend on the speed."""
    even = evened(coasts)
    if len({one.speed_m_s for one in even}) in (0, 1, len(even)):
        return ()
    fit = fit_law(even, CoastLaw.CONSTANT)
    if fit.lack is None or fit.lack.chance > SURE_CHANCE or not _shorter_when_fast(even):
        return ()
    return (warning(CalibrationCode.DRAG_GROWS, chance=fit.lack.chance),)


def _shorter_when_fast(coasts: Sequence[Coast]) -> bool:
    """Whether distance over speed squared falls as the speed grows."""
    slow, fast = coasts[0], coasts[-1]
    return fast.distance_m / fast.speed_m_s**2 < slow.distance_m / slow.speed_m_s**2
