"""A comparison in sentences. Names of groups may come from files; they stay plain text."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import floor, log10

from unspool.finding import Finding
from unspool.language import _, later, many
from unspool.render.words.logbook import found_words
from unspool.render.words.units import MOST_DIGITS, NBSP, UNKNOWN, between, plus_minus
from unspool.render.words.units import quantity as with_unit
from unspool.render.words.values import Text, Values, listed, number, words
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

SAME = later("no difference")
SURE = f"{100.0 * LEVEL:.0f}{NBSP}%"


@dataclass(frozen=True)
class QuantityWords:
    """Messages: what a quantity is called, and how much more or less of it there is."""

    name: str
    more: str = later("{size} more")
    less: str = later("{size} less")


QUANTITY_WORDS = {
    "distance_m": QuantityWords(
        later("distance"), later("{size} farther"), later("{size} shorter")
    ),
    "duration_s": QuantityWords(later("duration"), later("{size} longer"), later("{size} shorter")),
    "peak_speed_m_s": QuantityWords(
        later("top speed"), later("{size} faster"), later("{size} slower")
    ),
    "release_m": QuantityWords(later("release"), later("{size} later"), later("{size} earlier")),
    "left_in_weight_j": QuantityWords(later("energy left in the weight")),
    "drive_j": QuantityWords(later("energy lost in the drive")),
    "catches_j": QuantityWords(later("energy lost at tier changes")),
    "landing_j": QuantityWords(later("energy lost as the weight lands")),
    "rolling_j": QuantityWords(later("energy to rolling")),
    "air_j": QuantityWords(later("energy to air")),
    "grade_j": QuantityWords(later("energy to climbing")),
    "unexplained_j": QuantityWords(later("energy not explained")),
}


def quantity_name(quantity: Quantity) -> str:
    return _(QUANTITY_WORDS[quantity.key].name)


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
            heading = _("{second} against {first}", second=d.second, first=d.first)
            pairs.setdefault(heading, []).append(d)
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
        return _(UNKNOWN)
    interval, unit = summary.mean.interval, summary.quantity.unit
    if interval is None:
        return with_unit(summary.mean.value, unit)
    spread = (interval[1] - interval[0]) / 2.0
    shown = max(spread, 10.0**-MOST_DIGITS)
    return plus_minus(summary.mean.value, shown, unit, _digits(spread))


def repeat_words(summary: GroupSummary) -> str:
    """What two further runs may differ by."""
    apart = summary.repeatability
    return _(UNKNOWN) if apart is None else _size(apart, summary.quantity.unit, _digits(apart))


def difference_sentence(difference: Difference) -> str:
    """One quantity of `second` beside that of `first`; it names no group."""
    name = quantity_name(difference.quantity)
    said = DIFFERENCE_TEXTS[difference.verdict](difference)
    return _("{quantity}: {said}", quantity=name[:1].upper() + name[1:], said=said)


def _different(d: Difference) -> str:
    said = {"seen": seen_words(d), "share": SURE, "range": between_words(d)}
    if d.paired:
        return _("{seen} ({share} interval {range}, pair by pair).", **said)
    return _("{seen} ({share} interval {range}).", **said)


def _not_distinguishable(d: Difference) -> str:
    seen = seen_words(d)
    if seen == _(SAME):
        return _("{seen} after {attempts}.", seen=seen, attempts=_counts(d))
    first = _("{seen} after {attempts}, which may be chance.", seen=seen, attempts=_counts(d))
    return f"{first} {_more(d)}"


def _unknown(d: Difference) -> str:
    seen = seen_words(d)
    if min(d.counts) < 2 and seen == _(SAME):
        return _("{seen} so far. Make at least two attempts of each.", seen=seen)
    if min(d.counts) < 2:
        return _("{seen}, which may be chance. Make at least two attempts of each.", seen=seen)
    return _("{seen}, which may be chance: all attempts of a group have the same value.", seen=seen)


DIFFERENCE_TEXTS: dict[Distinction, Callable[[Difference], str]] = {
    Distinction.DIFFERENT: _different,
    Distinction.NOT_DISTINGUISHABLE: _not_distinguishable,
    Distinction.UNKNOWN: _unknown,
}


def seen_words(d: Difference) -> str:
    """ "0.42 m farther", or that there is none."""
    if round(d.estimate.value, _digits_of(d)) == 0.0:
        return _(SAME)
    of = QUANTITY_WORDS[d.quantity.key]
    return _(of.more if d.estimate.value > 0.0 else of.less, size=size_words(d))


def size_words(d: Difference) -> str:
    """ "0.42 m", without a sign."""
    return with_unit(abs(d.estimate.value), d.quantity.unit, _digits_of(d))


def _digits_of(d: Difference) -> int:
    interval = d.estimate.interval
    return _digits((interval[1] - interval[0]) / 2.0) if interval else 2


def between_words(d: Difference) -> str:
    """ "0.20 to 0.64 m", without the sign that the words have."""
    low, high = sorted(abs(end) for end in d.estimate.interval or (0.0, 0.0))
    digits, to = _digits((high - low) / 2.0), _("to")
    return between(low, high, d.quantity.unit, digits, f" {to} ")


def _counts(d: Difference) -> str:
    one, other = d.counts
    if d.paired:
        return many("{count} pair", "{count} pairs", one)
    if one == other:
        return _("{count} attempts each", count=one)
    return _("{one} and {other} attempts", one=one, other=other)


def _more(d: Difference) -> str:
    if d.more_runs is None:
        return _("Even {count} more would probably not show it.", count=MOST_RUNS)
    if d.paired:
        return many(
            "{count} more pair would probably show it.",
            "{count} more pairs would probably show it.",
            d.more_runs,
        )
    return many(
        "{count} more attempt of each would probably show it.",
        "{count} more attempts of each would probably show it.",
        d.more_runs,
    )


def _digits(spread: float) -> int:
    """Decimals that show two figures of a spread."""
    return min(max(1 - floor(log10(spread)), 0), MOST_DIGITS) if spread > 0.0 else MOST_DIGITS


def _size(spread: float, unit: str, digits: int) -> str:
    """A spread, which is never shown as 0."""
    return with_unit(max(spread, 10.0**-MOST_DIGITS), unit, digits)


# What runs are grouped by.
ASPECTS = {
    "winding": later("winding"),
    "weight": later("weight"),
    "wheel": later("wheel"),
    "car": later("car"),
    "track": later("floor"),
    "note": later("note"),
}


def aspect_words(aspect: str) -> str:
    return _(ASPECTS.get(aspect, aspect))


def _mixed_group(v: Values) -> str:
    return _(
        "The attempts of {group} also differ in {aspect}: {labels}. Compare these separately.",
        group=v["group"],
        aspect=aspect_words(str(v["aspect"])),
        labels=listed(words(v, "labels")),
    )


def _one_run(v: Values) -> str:
    return _(
        "{group} has only one attempt, so its repeatability is unknown. Make another.",
        group=v["group"],
    )


def _odd_run(v: Values) -> str:
    return _odd_runs((str(v["run"]),), v)


def _odd_runs(runs: tuple[str, ...], v: Values) -> str:
    return many(
        "{runs}, in {group}, has a warning ({found}). Look at that attempt first.",
        "{runs}, in {group}, have a warning ({found}). Look at those attempts first.",
        len(runs),
        runs=listed(runs),
        group=v["group"],
        found=listed(tuple(map(found_words, words(v, "codes")))),
    )


def caution_sentences(cautions: Iterable[Finding]) -> list[str]:
    """One sentence for all attempts of a group that have the same warnings."""
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for place, one in enumerate(cautions):
        odd = one.code == ComparisonCode.ODD_RUN
        key = (one.values["group"], one.values["codes"]) if odd else (place,)
        alike.setdefault(key, []).append(one)
    return [_of_alike(found) for found in alike.values()]


def _of_alike(found: list[Finding]) -> str:
    if len(found) == 1:
        return TEXTS[found[0].code](found[0].values)
    return _odd_runs(tuple(str(one.values["run"]) for one in found), found[0].values)


def _one_group(v: Values) -> str:
    return _(
        "Grouped by {aspect}, all attempts are one group, so there is nothing to compare.",
        aspect=aspect_words(str(v["by"])),
    )


def _many_groups(v: Values) -> str:
    return _(
        "With {groups} groups, about one difference in {one_in} shows by chance alone.",
        groups=format(number(v, "groups"), "g"),
        one_in=format(number(v, "one_in"), "g"),
    )


TEXTS: dict[str, Text] = {
    ComparisonCode.MIXED_GROUP: _mixed_group,
    ComparisonCode.ONE_RUN: _one_run,
    ComparisonCode.ODD_RUN: _odd_run,
    ComparisonCode.ONE_GROUP: _one_group,
    ComparisonCode.MANY_GROUPS: _many_groups,
}
