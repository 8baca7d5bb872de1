"""Means, differences, and how many runs it takes to show them.

Small groups of unequal spread: intervals are Student's with the effective degrees of freedom of
Welch (1947) and Satterthwaite (1946), as in the GUM (JCGM 100:2008, G.4). With fewer than two runs
in a group the scatter is not known, and neither is any interval: it is None, never 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite, sqrt

import numpy as np
from scipy.special import nctdtr

from unspool.intervals import student_factor

LEVEL = 0.95
# The chance to show a difference that is really there, by which runs are planned: common practice.
POWER = 0.8
MOST_RUNS = 100  # nobody winds a car more often than that to answer one question

Interval = tuple[float, float]


@dataclass(frozen=True)
class MeanEstimate:
    """A value with its interval; sd, standard error and interval are None if not known."""

    value: float
    standard_error: float | None = None
    freedom: float | None = None
    interval: Interval | None = None


@dataclass(frozen=True)
class Sample:
    """What is known of a group in one quantity; sd is None with fewer than two values."""

    count: int
    mean: float
    sd: float | None


def sample(values: Sequence[float]) -> Sample:
    """Raises ValueError without values."""
    if not len(values):
        raise ValueError("a sample needs a value")
    sd = float(np.std(values, ddof=1)) if len(values) > 1 else None
    return Sample(len(values), float(np.mean(values)), sd)


def combined(parts: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Standard error and effective degrees of freedom of a sum of independent parts.

    parts: each part's standard error and degrees of freedom (inf where it is known for certain).
    """
    variance = sum(u**2 for u, _ in parts)
    shares = sum(u**4 / freedom for u, freedom in parts)
    return sqrt(variance), variance**2 / shares if shares > 0.0 else inf


def mean_of(group: Sample, level: float = LEVEL) -> MeanEstimate:
    """The mean of one group."""
    if not group.sd:
        return MeanEstimate(group.mean)
    return _estimate(group.mean, *combined([_part(group)]), level)


def difference(one: Sample, other: Sample, level: float = LEVEL) -> MeanEstimate:
    """other - one of two groups of separate runs, by Welch."""
    apart = other.mean - one.mean
    if one.sd is None or other.sd is None or one.sd + other.sd == 0.0:
        return MeanEstimate(apart)
    return _estimate(apart, *combined([_part(one), _part(other)]), level)


def repeatability(group: Sample, level: float = LEVEL) -> float | None:
    """Two further runs of the group differ by less than this with probability `level`.

    The repeatability limit of ISO 5725-6, 1.96 x sqrt(2) x sd, with Student's factor in place of
    1.96, because a few runs give only a rough sd.
    """
    if not group.sd:
        return None
    return student_factor(group.count - 1, level) * sqrt(2.0) * group.sd


def more_runs(one: Sample, other: Sample, level: float = LEVEL) -> int | None:
    """How many more runs in each group would probably show the difference that was seen.

    Probably: with probability POWER, if the difference and the scatter are what they seem to be.
    0 if they have enough already, None if MOST_RUNS more are too few or nothing is known.
    """
    apart = abs(other.mean - one.mean)
    if one.sd is None or other.sd is None or one.sd + other.sd == 0.0 or apart == 0.0:
        return None
    for more in range(MOST_RUNS + 1):
        grown = [Sample(s.count + more, s.mean, s.sd) for s in (one, other)]
        if _power(apart, *combined([_part(s) for s in grown]), level) >= POWER:
            return more
    return None


def more_pairs(pairs: Sample, level: float = LEVEL) -> int | None:
    """The same for paired runs: `pairs` are the differences within each pair."""
    if not pairs.sd or pairs.mean == 0.0:
        return None
    for more in range(MOST_RUNS + 1):
        grown = Sample(pairs.count + more, pairs.mean, pairs.sd)
        if _power(abs(pairs.mean), *_part(grown), level) >= POWER:
            return more
    return None


def _part(group: Sample) -> tuple[float, float]:
    return (group.sd or 0.0) / sqrt(group.count), group.count - 1.0


def _estimate(value: float, error: float, freedom: float, level: float) -> MeanEstimate:
    half = student_factor(freedom, level) * error
    return MeanEstimate(value, error, freedom, (value - half, value + half))


def _power(apart: float, error: float, freedom: float, level: float) -> float:
    """Chance that the interval leaves out 0 on the side of `apart`: a noncentral t."""
    if not isfinite(apart / error):
        return 1.0
    return 1.0 - float(nctdtr(freedom, apart / error, student_factor(freedom, level)))
