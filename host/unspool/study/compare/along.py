"""Two groups along the track: by how much their speeds differ at each distance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.intervals import student_factor
from unspool.study.compare.statistics import LEVEL, combined
from unspool.study.compare.types import ComparedRun, Comparison, Group

POINTS = 200  # as many as a picture on a desk shows


@dataclass(frozen=True)
class AlongTrack:
    """`second` less `first` in mean speed, on the distance that every run of both covered.

    All arrays are (POINTS,). low and high: the ends of the 95 % interval at each distance by
    itself, None if a group has fewer than two runs.
    """

    first: str
    second: str
    distance_m: NDArray[np.float64]
    apart_m_s: NDArray[np.float64]
    low_m_s: NDArray[np.float64] | None
    high_m_s: NDArray[np.float64] | None


def along(comparison: Comparison) -> tuple[AlongTrack, ...]:
    """Every further group beside the first one, without those that share no distance with it."""
    if not comparison.groups:
        return ()
    first, *others = comparison.groups
    made = (_beside(first, other) for other in others)
    return tuple(one for one in made if one is not None)


def _beside(first: Group, second: Group) -> AlongTrack | None:
    reach = min((_reach(run) for run in (*first.runs, *second.runs)), default=0.0)
    if reach <= 0.0:
        return None
    at = np.linspace(0.0, reach, POINTS)
    one, other = _speeds(first.runs, at), _speeds(second.runs, at)
    apart = other.mean(axis=0) - one.mean(axis=0)
    half = _half_width(one, other)
    ends = (None, None) if half is None else (apart - half, apart + half)
    return AlongTrack(first.name, second.name, at, apart, *ends)


def _reach(run: ComparedRun) -> float:
    """How far the way out goes. A run that is cut off ends earlier."""
    distance, _ = _way_out(run)
    return float(distance[-1]) if len(distance) else 0.0


def _way_out(run: ComparedRun) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Distance, without what lies behind the line, and speed until the furthest point."""
    motion = run.reading.motion
    if not motion.measures_distance or not len(motion.distance_m):
        return np.empty(0), np.empty(0)
    out = slice(0, int(np.argmax(motion.distance_m)) + 1)
    return np.maximum.accumulate(motion.distance_m[out]), motion.speed_m_s[out]


def _speeds(runs: Sequence[ComparedRun], at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Speeds (runs, points)."""
    return np.array([np.interp(at, *_way_out(run)) for run in runs])


def _half_width(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Half of Welch's interval of the difference at each place."""
    if min(len(one), len(other)) < 2:
        return None
    errors = np.array([group.std(axis=0, ddof=1) / np.sqrt(len(group)) for group in (one, other)])
    freedoms = (len(one) - 1.0, len(other) - 1.0)
    halves = [_half(tuple(zip(at_place, freedoms, strict=True))) for at_place in errors.T]
    return np.array(halves)


def _half(parts: tuple[tuple[float, float], ...]) -> float:
    error, freedom = combined(parts)
    return student_factor(freedom, LEVEL) * error if error > 0.0 else 0.0
