"""What a reader should know before believing the differences between groups."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from unspool.finding import Finding, Severity, note, warning
from unspool.study.compare.codes import ComparisonCode
from unspool.study.compare.grouping import mixed
from unspool.study.compare.statistics import LEVEL
from unspool.study.compare.types import ComparedRun, Group

MOST_PAIRED = 2  # groups; more of them make differences that chance alone shows


def cautions(groups: Sequence[Group], by: str) -> tuple[Finding, ...]:
    """First of each group, then of them all."""
    common = _common_warnings([run for group in groups for run in group.runs])
    return (
        *(caution for group in groups for caution in _of_group(group, by, common)),
        *_of_all(len(groups), by),
    )


def _of_group(group: Group, by: str, common: set[str]) -> Iterator[Finding]:
    for aspect, labels in mixed(group.runs, by):
        yield warning(
            ComparisonCode.MIXED_GROUP, group=group.name, aspect=aspect, labels=tuple(labels)
        )
    if len(group.runs) == 1:
        yield warning(ComparisonCode.ONE_RUN, group=group.name)
    for run in group.runs:
        if odd := sorted(_warnings(run) - common):
            yield warning(ComparisonCode.ODD_RUN, run=run.name, group=group.name, codes=tuple(odd))


def _of_all(groups: int, by: str) -> Iterator[Finding]:
    if groups == 1:
        yield warning(ComparisonCode.ONE_GROUP, by=by)
    if groups > MOST_PAIRED:
        by_chance = round(1.0 / (1.0 - LEVEL))
        yield note(ComparisonCode.MANY_GROUPS, groups=groups, one_in=by_chance)


def _warnings(run: ComparedRun) -> set[str]:
    return {str(f.code) for f in run.reading.findings if f.severity is Severity.WARNING}


def _common_warnings(runs: Sequence[ComparedRun]) -> set[str]:
    """Warnings that every run has make no group unlike another."""
    return set.intersection(*(_warnings(run) for run in runs)) if len(runs) > 1 else set()
