"""Whether a difference between tape and car file is the wheel's or the count's.

Each possible count of edges a turn gets a weight. It says how often such an error is made, how
well the circumference fits the car file's, and whether the slots' own pattern repeats with it.
Whole-slot errors give steps (one edge of 20 is 5 %), wheels differ by a per cent or so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, log, pi, sqrt

from unspool.intervals import HALF_IN_SDS
from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.types import IntervalEstimate

# How a wheel's rolling circumference differs from its diameter across the tread: squash, wear.
WHEEL_SD = 0.01
# How often builders have the count right or wrong: from experience with counting things, not
# from data. A slot has two edges, so two too many are likelier than one.
RIGHT, TWOFOLD, TWO_OFF, ONE_OFF, PATTERN_ONLY = 0.9, 0.02, 0.015, 0.01, 0.01
OTHER, OTHER_RANGE = 0.01, log(16.0)  # anything else, within a factor of 4 both ways
PATTERN_RIGHT = 0.95
SURE = 0.9


@dataclass(frozen=True)
class Judgement:
    """edges: the count that is believed. rival: the other one that fits, if that is not clear."""

    code: RollOutCode
    edges: int | None
    rival: int | None = None


def judge(found: IntervalEstimate, nominal_m: float, edges: int, pattern: int | None) -> Judgement:
    """Who is right, from a circumference that was counted with `edges` a turn."""
    weight = _weights(found, nominal_m, edges, pattern)
    total = sum(weight.values())
    ranked = sorted(weight, key=lambda count: -weight[count])
    best = ranked[0]
    if best == 0:
        return Judgement(RollOutCode.UNEXPLAINED, None)
    if weight[best] < SURE * total:
        rival = next((count for count in ranked[1:] if count), None)
        other = weight[0] > weight[rival] if rival else True
        mine = rival if best == edges else best
        return Judgement(RollOutCode.UNCLEAR, None, None if other else mine)
    if best != edges:
        return Judgement(RollOutCode.MISCOUNTED, best)
    agrees = found.low <= nominal_m <= found.high
    return Judgement(RollOutCode.AGREES if agrees else RollOutCode.WHEEL_DIFFERS, edges)


def _weights(
    found: IntervalEstimate, nominal_m: float, edges: int, pattern: int | None
) -> dict[int, float]:
    """How likely each count is, up to a factor; under 0 that none is."""
    sd = hypot(WHEEL_SD, (found.high - found.low) / (2.0 * HALF_IN_SDS * found.value))
    fits = edges * nominal_m / found.value
    weights = {
        count: often * _bell(log(fits / count), sd) * _repeats(count, pattern)
        for count, often in _counts(edges, pattern).items()
    }
    weights[0] = OTHER / OTHER_RANGE * (1.0 if pattern is None else 0.5)
    return weights


def _counts(edges: int, pattern: int | None) -> dict[int, float]:
    """Counts that may hold, and how often."""
    counts = {edges - 2: TWO_OFF, edges + 2: TWO_OFF, edges - 1: ONE_OFF, edges + 1: ONE_OFF}
    counts[2 * edges] = TWOFOLD
    if edges % 2 == 0:
        counts[edges // 2] = TWOFOLD
    if pattern is not None:
        counts.setdefault(pattern, PATTERN_ONLY)
    counts[edges] = RIGHT
    return {count: often for count, often in counts.items() if count > 0}


def _bell(x: float, sd: float) -> float:
    return exp(-0.5 * (x / sd) ** 2) / (sd * sqrt(2.0 * pi))


def _repeats(count: int, pattern: int | None) -> float:
    if pattern is None:
        return 1.0
    return PATTERN_RIGHT if repeats_with(count, pattern) else 1.0 - PATTERN_RIGHT


def repeats_with(count: int, pattern: int) -> bool:
    """Whether a count fits the pattern, which is looked for over even numbers of edges only."""
    return pattern == count or (count % 2 == 1 and pattern == 2 * count)
