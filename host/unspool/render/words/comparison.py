"""A comparison in sentences. Names of groups may come from files; they stay plain text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import floor, log10

from unspool.finding import in_words
from unspool.render.words.units import MOST_DIGITS, NBSP, UNKNOWN, between, plus_minus
from unspool.render.words.units import quantity as with_unit
from unspool.render.words.values import Text, Values, counted, listed, number, words
from unspool.study.compare import (
    Comparison,
    ComparisonCode,
    Difference,
    Distinction,
    GroupSummary,
    Quantity,
    by_size,
)
from unspool.study.compare.statistics import LEVEL, MOST_RUNS

SAME = "no difference"
SURE = f"{100.0 * LEVEL:.0f}{NBSP}%"


@dataclass(frozen=True)
class QuantityWords:
    """What a quantity is called, and the words for more and for less of it."""

    name: str
    more: str = "more"
    less: str = "less"


QUANTITY_WORDS = {
    "distance_m": QuantityWords("distance", "farther", "shorter"),
    "duration_s": QuantityWords("duration", "longer", "shorter"),
    "peak_speed_m_s": QuantityWords("top speed", "faster", "slower"),
    "release_m": QuantityWords("release", "later", "earlier"),
    "left_in_weight_j": QuantityWords("energy left in the weight"),
    "drive_j": QuantityWords("energy lost in the drive"),
    "catches_j": QuantityWords("energy lost at tier changes"),
    "landing_j": QuantityWords("energy lost as the weight lands"),
    "rolling_j": QuantityWords("energy to rolling"),
    "air_j": QuantityWords("energy to air"),
    "grade_j": QuantityWords("energy to climbing"),
    "unexplained_j": QuantityWords("energy not explained"),
}


def quantity_name(quantity: Quantity) -> str:
    return QUANTITY_WORDS[quantity.key].name


@dataclass(frozen=True)
class Versus:
    """Two groups and their differences, a sentence a quantity."""

    heading: str
    differences: tuple[Difference, ...]


def versus(comparison: Comparison) -> list[Versus]:
    """The differences by pair of groups, the largest first, of the quantities that are shown."""
    shown = {quantity.key for quantity in shown_quantities(comparison)}
    pairs: dict[str, list[Difference]] = {}
    for d in by_size(comparison, comparison.differences):
        if d.quantity.key in shown:
            pairs.setdefault(f"{d.second} against {d.first}", []).append(d)
    return [Versus(heading, tuple(found)) for heading, found in pairs.items()]


def shown_quantities(comparison: Comparison) -> list[Quantity]:
    """The quantities that are known, and not 0, in at least one run."""
    of_groups = [group.summaries for group in comparison.groups]
    return [
        column[0].quantity
        for column in zip(*of_groups, strict=True)
        if any(value for summary in column for value in summary.values)
    ]


def mean_words(summary: GroupSummary) -> str:
    """ "15.20 ± 0.31 m"; the mean alone if its interval is not known."""
    if summary.mean is None:
        return UNKNOWN
    interval, unit = summary.mean.interval, summary.quantity.unit
    if interval is None:
        return with_unit(summary.mean.value, unit)
    spread = (interval[1] - interval[0]) / 2.0
    shown = max(spread, 10.0**-MOST_DIGITS)
    return plus_minus(summary.mean.value, shown, unit, _digits(spread))


def repeat_words(summary: GroupSummary) -> str:
    """What two further runs may differ by."""
    apart = summary.repeatability
    return UNKNOWN if apart is None else _size(apart, summary.quantity.unit, _digits(apart))


def difference_sentence(difference: Difference) -> str:
    """One quantity of `second` beside that of `first`; it names no group."""
    seen = f"{quantity_name(difference.quantity).capitalize()}: {seen_words(difference)}"
    return seen + DIFFERENCE_TEXTS[difference.verdict](difference)


def _different(d: Difference) -> str:
    pairs = ", pair by pair" if d.paired else ""
    return f" ({SURE} interval {between_words(d)}{pairs})."


def _not_distinguishable(d: Difference) -> str:
    if seen_words(d) == SAME:
        return f" after {_counts(d)}."
    return f" after {_counts(d)}, which may be chance. {_more(d)}"


def _unknown(d: Difference) -> str:
    if min(d.counts) < 2:
        return ", which may be chance. Make at least two attempts of each."
    return ", which may be chance: all attempts of a group have the same value."


DIFFERENCE_TEXTS: dict[Distinction, Callable[[Difference], str]] = {
    Distinction.DIFFERENT: _different,
    Distinction.NOT_DISTINGUISHABLE: _not_distinguishable,
    Distinction.UNKNOWN: _unknown,
}


def seen_words(d: Difference) -> str:
    """ "0.42 m farther", or that there is none."""
    apart, interval = d.estimate.value, d.estimate.interval
    digits = _digits((interval[1] - interval[0]) / 2.0) if interval else 2
    if round(apart, digits) == 0.0:
        return SAME
    of = QUANTITY_WORDS[d.quantity.key]
    return f"{with_unit(abs(apart), d.quantity.unit, digits)} {of.more if apart > 0.0 else of.less}"


def between_words(d: Difference) -> str:
    """ "0.20 to 0.64 m", without the sign that the words have."""
    low, high = sorted(abs(end) for end in d.estimate.interval or (0.0, 0.0))
    digits = _digits((high - low) / 2.0)
    return between(low, high, d.quantity.unit, digits, " to ")


def _counts(d: Difference) -> str:
    one, other = d.counts
    if d.paired:
        return counted(one, "pair")
    return f"{one} attempts each" if one == other else f"{one} and {other} attempts"


def _more(d: Difference) -> str:
    if d.more_runs is None:
        return f"Even {MOST_RUNS} more would probably not show it."
    what = counted(d.more_runs, "more pair" if d.paired else "more attempt")
    return f"{what}{'' if d.paired else ' of each'} would probably show it."


def _digits(spread: float) -> int:
    """Decimals that show two figures of a spread."""
    return min(max(1 - floor(log10(spread)), 0), MOST_DIGITS) if spread > 0.0 else MOST_DIGITS


def _size(spread: float, unit: str, digits: int) -> str:
    """A spread, which is never shown as 0."""
    return with_unit(max(spread, 10.0**-MOST_DIGITS), unit, digits)


def _mixed_group(v: Values) -> str:
    return (
        f"The attempts of {v['group']} also differ in {v['aspect']}: {listed(words(v, 'labels'))}. "
        "Compare these separately."
    )


def _one_run(v: Values) -> str:
    return f"{v['group']} has only one attempt, so its repeatability is unknown. Make another."


def _odd_run(v: Values) -> str:
    found = listed(tuple(in_words(code) for code in words(v, "codes")))
    return f"{v['run']}, in {v['group']}, has a warning ({found}). Look at that attempt first."


def _one_group(v: Values) -> str:
    return f"Grouped by {v['by']}, all attempts are one group, so there is nothing to compare."


def _many_groups(v: Values) -> str:
    return (
        f"With {number(v, 'groups'):g} groups, about one difference in {number(v, 'one_in'):g} "
        "shows by chance alone."
    )


TEXTS: dict[str, Text] = {
    ComparisonCode.MIXED_GROUP: _mixed_group,
    ComparisonCode.ONE_RUN: _one_run,
    ComparisonCode.ODD_RUN: _odd_run,
    ComparisonCode.ONE_GROUP: _one_group,
    ComparisonCode.MANY_GROUPS: _many_groups,
}
