"""A comparison in builders' words. Names of groups may come from files; they stay plain text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, log10

from unspool.study.compare.grouping import mixed
from unspool.study.compare.quantities import Quantity
from unspool.study.compare.statistics import LEVEL
from unspool.study.compare.types import ComparedRun, Comparison, Difference, Group, Summary, Verdict

NBSP = "\u00a0"
MINUS = "\u2212"
UNKNOWN = "not known"
SURE = f"{100.0 * LEVEL:.0f}{NBSP}%"
# A tenth of a millimetre in a metre: below what any disc and floor can mean.
MOST_DIGITS = 4


@dataclass(frozen=True)
class Versus:
    """Two groups and what is to be said of them, a sentence a quantity."""

    heading: str
    differences: tuple[Difference, ...]


def versus(comparison: Comparison) -> list[Versus]:
    """The differences by pair of groups, without the quantities that say nothing."""
    shown = {quantity.key for quantity in told_somewhere(comparison)}
    pairs: dict[str, list[Difference]] = {}
    for d in comparison.differences:
        if d.quantity.key in shown:
            pairs.setdefault(f"{d.second} against {d.first}", []).append(d)
    return [Versus(heading, tuple(told)) for heading, told in pairs.items()]


def told(difference: Difference) -> Difference:
    """The difference with its sentence, which speaks of `second` and names no group."""
    return replace(difference, text=_sentence(difference))


def told_somewhere(comparison: Comparison) -> list[Quantity]:
    """The quantities that some run tells and that are not nought in every one."""
    of_groups = [group.summaries for group in comparison.groups]
    return [
        column[0].quantity
        for column in zip(*of_groups, strict=True)
        if any(value for summary in column for value in summary.values)
    ]


def mean_words(summary: Summary) -> str:
    """ "15.20 ± 0.31 m"; the mean alone where its interval is not known."""
    if summary.mean is None:
        return UNKNOWN
    interval, unit = summary.mean.interval, summary.quantity.unit
    if interval is None:
        return _number(summary.mean.value, unit, 2)
    spread = (interval[1] - interval[0]) / 2.0
    digits = _digits(spread)
    return f"{_number(summary.mean.value, '', digits)}{NBSP}±{NBSP}{_size(spread, unit, digits)}"


def repeat_words(summary: Summary) -> str:
    """What two further runs may differ by."""
    apart = summary.repeatability
    return UNKNOWN if apart is None else _size(apart, summary.quantity.unit, _digits(apart))


def cautions(groups: Sequence[Group], by: str) -> tuple[str, ...]:
    """What a reader should mind before believing the differences."""
    said: list[str] = []
    everywhere = _codes_of_all([run for group in groups for run in group.runs])
    for group in groups:
        for aspect, labels in mixed(group.runs, by):
            said.append(
                f"The group {group.name} mixes runs that differ in {aspect} ({', '.join(labels)}): "
                "compare those apart."
            )
        if len(group.runs) == 1:
            said.append(f"{group.name} has one run: how well it repeats is not known.")
        for run in group.runs:
            if odd := sorted(_warnings(run) - everywhere):
                names = " and ".join(code.replace("_", " ") for code in odd)
                said.append(f"{run.name}, in {group.name}, had {names}: look at it first.")
    if len(groups) == 1:
        said.append(f"By {by} the runs are one group: there is nothing to compare it with.")
    if len(groups) > 2:
        chance = f"about one difference in {round(1.0 / (1.0 - LEVEL))}"
        said.append(f"With {len(groups)} groups, expect {chance} to show by chance alone.")
    return tuple(said)


def _warnings(run: ComparedRun) -> set[str]:
    return {f.code for f in run.reading.findings if f.severity == "warning"}


def _codes_of_all(runs: Sequence[ComparedRun]) -> set[str]:
    """Warnings that every run has tell no group from another."""
    return set.intersection(*(_warnings(run) for run in runs)) if len(runs) > 1 else set()


def _sentence(d: Difference) -> str:
    seen = f"{d.quantity.name}: {_seen(d)}"
    if d.verdict is Verdict.UNKNOWN:
        return f"{seen}; whether by more than chance is not known, {_why_unknown(d)}"
    if d.verdict is Verdict.NOT_DISTINGUISHABLE:
        return f"{seen}, not distinguishable after {_counts(d)}; {_more(d)}"
    return f"{seen} ({_between(d)}, {SURE}{', pair by pair' if d.paired else ''})"


def _seen(d: Difference) -> str:
    apart = d.estimate.value
    interval = d.estimate.interval
    digits = _digits((interval[1] - interval[0]) / 2.0) if interval else 2
    if round(apart, digits) == 0.0:
        return "the same"
    word = d.quantity.more if apart > 0.0 else d.quantity.less
    return f"{_number(abs(apart), d.quantity.unit, digits)} {word}"


def _between(d: Difference) -> str:
    """ "0.20 to 0.64 m", without the sign that the words have said."""
    low, high = sorted(abs(end) for end in d.estimate.interval or (0.0, 0.0))
    digits = _digits((high - low) / 2.0)
    return f"{_number(low, '', digits)} to {_number(high, d.quantity.unit, digits)}"


def _why_unknown(d: Difference) -> str:
    if min(d.counts) < 2:
        return "it takes two runs of each at least"
    return "all runs of a group came out the same"


def _counts(d: Difference) -> str:
    one, other = d.counts
    if d.paired:
        return f"{one} pairs"
    return f"{one} runs each" if one == other else f"{one} and {other} runs"


def _more(d: Difference) -> str:
    if d.more_runs is None:
        return "more runs would hardly tell"
    if d.paired:
        return f"{d.more_runs} more pair{'s' * (d.more_runs > 1)} would do"
    return f"{d.more_runs} more {'each' if d.more_runs > 1 else 'of each'} would do"


def _digits(spread: float) -> int:
    """Decimals that show two figures of a spread."""
    return min(max(1 - floor(log10(spread)), 0), MOST_DIGITS) if spread > 0.0 else MOST_DIGITS


def _size(spread: float, unit: str, digits: int) -> str:
    """A spread, which is never shown as nought."""
    return _number(max(spread, 10.0**-MOST_DIGITS), unit, digits)


def _number(value: float, unit: str, digits: int) -> str:
    text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)
    return f"{text}{NBSP}{unit}" if unit else text
