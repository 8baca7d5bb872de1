"""compare: runs in, groups and their differences out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from unspool.errors import InputError
from unspool.finding import Finding
from unspool.language import _
from unspool.reading.events.codes import ReadingCode
from unspool.study.compare import grouping
from unspool.study.compare.cautions import cautions
from unspool.study.compare.pairing import Pair, pairs
from unspool.study.compare.quantities import QUANTITIES, Quantity
from unspool.study.compare.statistics import (
    MeanEstimate,
    Sample,
    difference,
    mean_of,
    more_pairs,
    more_runs,
    repeatability,
    sample,
)
from unspool.study.compare.types import (
    ComparedRun,
    Comparison,
    Difference,
    Distinction,
    Group,
    GroupSummary,
    LeftOut,
)

# The finding after which a run's figures say nothing of the car.
_NO_RUN = ReadingCode.DID_NOT_START


def compare(runs: Sequence[ComparedRun], by: str = "winding") -> Comparison:
    """Groups the runs by one of ASPECTS and compares every two groups in every quantity.

    All intervals are at 95 %. Raises InputError when no run is left, or `by` is no aspect.
    """
    if by not in grouping.ASPECTS:
        raise InputError(
            _(
                "runs cannot be grouped by {by}; take {aspects}",
                by=repr(by),
                aspects=", ".join(grouping.ASPECTS),
            )
        )
    left_out = tuple(LeftOut(run.name, why) for run in runs if (why := _unfit(run)))
    fit = [run for run in runs if not _unfit(run)]
    if not fit:
        raise InputError(_("there is no run to compare: none of those given got under way"))
    groups = tuple(_group(name, found) for name, found in grouping.group(fit, by))
    return Comparison(
        by=by,
        groups=groups,
        differences=_differences(groups),
        left_out=left_out,
        cautions=cautions(groups, by),
    )


def _unfit(run: ComparedRun) -> Finding | None:
    return next((f for f in run.reading.findings if f.code == _NO_RUN), None)


def _group(name: str, runs: Sequence[ComparedRun]) -> Group:
    return Group(name, tuple(runs), tuple(_summary(quantity, runs) for quantity in QUANTITIES))


def _summary(quantity: Quantity, runs: Sequence[ComparedRun]) -> GroupSummary:
    values = tuple(quantity.value(run.reading) for run in runs)
    known = [value for value in values if value is not None]
    if not known:
        return GroupSummary(quantity, values, None, None, None)
    of_all = sample(known)
    return GroupSummary(quantity, values, of_all, mean_of(of_all), repeatability(of_all))


def _differences(groups: Sequence[Group]) -> tuple[Difference, ...]:
    found: list[Difference] = []
    for first, second in combinations(groups, 2):
        paired = pairs(first.runs, second.runs)
        for one, other in zip(first.summaries, second.summaries, strict=True):
            made = _difference((first.name, second.name), one, other, paired)
            if made:
                found.append(made)
    return tuple(found)


def _difference(
    names: tuple[str, str], one: GroupSummary, other: GroupSummary, paired: tuple[Pair, ...]
) -> Difference | None:
    """None if no run of a group shows the quantity."""
    if one.sample is None or other.sample is None:
        return None
    within = _within(one, other, paired)
    if within:
        estimate, more = mean_of(within), more_pairs(within)
    else:
        estimate = difference(one.sample, other.sample)
        more = more_runs(one.sample, other.sample)
    verdict = _verdict(estimate)
    return Difference(
        quantity=one.quantity,
        first=names[0],
        second=names[1],
        estimate=estimate,
        counts=(one.sample.count, other.sample.count),
        paired=within is not None,
        verdict=verdict,
        # one more at least, because the runs so far were not enough
        more_runs=max(more, 1) if more is not None and verdict is _OPEN else None,
    )


_OPEN = Distinction.NOT_DISTINGUISHABLE


def _within(one: GroupSummary, other: GroupSummary, paired: tuple[Pair, ...]) -> Sample | None:
    """The differences within the pairs, if every pair shows the quantity and they differ."""
    values = [(one.values[i], other.values[j]) for i, j in paired]
    apart = [b - a for a, b in values if a is not None and b is not None]
    if not apart or len(apart) < len(values):
        return None
    within = sample(apart)
    return within if within.sd else None


def _verdict(estimate: MeanEstimate) -> Distinction:
    if estimate.interval is None:
        return Distinction.UNKNOWN
    low, high = estimate.interval
    return Distinction.NOT_DISTINGUISHABLE if low <= 0.0 <= high else Distinction.DIFFERENT
