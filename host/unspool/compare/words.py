"""A comparison in builders' words. Names of groups may come from files; they stay plain text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite, log10

from unspool.compare.grouping import mixed
from unspool.compare.statistics import LEVEL, Interval
from unspool.compare.types import Difference, Group, Summary, Verdict

NBSP = "\u00a0"
MINUS = "\u2212"


def told(difference: Difference, level: float) -> Difference:
    """The difference with its sentence."""
    return replace(difference, text=_sentence(difference, level))


def cautions(groups: Sequence[Group], by: str) -> tuple[str, ...]:
    """What a reader should mind before believing the differences."""
    said: list[str] = []
    for group in groups:
        for aspect, labels in mixed(group.runs, by):
            said.append(
                f"The group {group.name} mixes runs that differ in {aspect} ({', '.join(labels)}): "
                "compare those apart."
            )
        if len(group.runs) == 1:
            said.append(f"{group.name} has one run: how well it repeats is not known.")
        odd = [run.name for run in group.runs if _warned(run.reading.findings)]
        if odd:
            said.append(f"In {group.name}, {' and '.join(odd)} had warnings: look at them first.")
    if len(groups) > 2:
        said.append(
            f"With {len(groups)} groups and many quantities, expect about one difference in "
            f"{round(1.0 / (1.0 - LEVEL))} to show by chance alone."
        )
    return tuple(said)


def digits_for(spread: float | None) -> int:
    """Decimals that show two figures of a spread, two where none is known."""
    if not spread or not isfinite(spread):
        return 2
    return min(max(1 - int(log10(spread) // 1), 0), 4)


def spread_of(summary: Summary) -> float | None:
    """Half of the mean's interval."""
    interval = summary.mean.interval if summary.mean else None
    return None if interval is None else (interval[1] - interval[0]) / 2.0


def number(value: float, unit: str, digits: int) -> str:
    text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", MINUS)
    return f"{text}{NBSP}{unit}" if unit else text


def between(interval: Interval, unit: str) -> str:
    """ "0.20 to 0.64 m"."""
    digits = digits_for((interval[1] - interval[0]) / 2.0)
    return f"{number(interval[0], '', digits)} to {number(interval[1], unit, digits)}"


def _warned(findings: Sequence[object]) -> bool:
    return any(getattr(finding, "severity", "") == "warning" for finding in findings)


def _sentence(d: Difference, level: float) -> str:
    if d.verdict is Verdict.UNKNOWN:
        return f"{_seen(d)}; whether that is more than chance is not known{_why_unknown(d)}"
    if d.verdict is Verdict.DIFFERENT:
        low, high = sorted(map(abs, d.estimate.interval or ()))
        sure = f"{100.0 * level:.0f}{NBSP}%"
        pairs = ", pair by pair" if d.paired else ""
        return f"{_seen(d)} ({between((low, high), d.quantity.unit)}, {sure}{pairs})"
    return f"{d.quantity.name}: not distinguishable after {_counts(d)}; {_more(d)}"


def _seen(d: Difference) -> str:
    apart = d.estimate.value
    interval = d.estimate.interval
    digits = digits_for((interval[1] - interval[0]) / 2.0 if interval else None)
    if round(apart, digits) == 0.0:
        return f"{d.quantity.name}: {d.second} as {d.first}"
    word = d.quantity.more if apart > 0.0 else d.quantity.less
    size = number(abs(apart), d.quantity.unit, digits)
    return f"{d.quantity.name}: {d.second} {size} {word} than {d.first}"


def _why_unknown(d: Difference) -> str:
    if min(d.counts) < 2:
        return ": it takes two runs of each at least"
    return ": all runs of a group came out the same"


def _counts(d: Difference) -> str:
    one, other = d.counts
    if d.paired:
        return f"{one} pairs"
    return f"{one} runs each" if one == other else f"{one} and {other} runs"


def _more(d: Difference) -> str:
    if d.more_runs is None:
        return "more runs would hardly tell"
    what = "pairs" if d.paired else "each"
    if d.more_runs == 1:
        what = "pair" if d.paired else "of each"
    return f"{d.more_runs} more {what} would do, if they go on like these"
