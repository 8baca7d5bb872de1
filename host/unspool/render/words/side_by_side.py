"""The first sentence of Side by side: which went farther, and whether one may rely on it."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.language import _, many
from unspool.render.words.comparison import SURE, between_words, size_words
from unspool.study.compare import Comparison, Difference, Distinction, Group
from unspool.study.compare.statistics import MOST_RUNS

MAIN = "distance_m"
LETTERS = 26


def lettered(groups: Sequence[Group]) -> list[tuple[str, Group]]:
    """Each group with its letter, "A" for the first; a single group needs none."""
    if len(groups) == 1:
        return [("", groups[0])]
    return [(_letter(i), group) for i, group in enumerate(groups)]


def _letter(i: int) -> str:
    return chr(ord("A") + i) if i < LETTERS else f"A{i - LETTERS + 1}"


def short_names(names: Sequence[str]) -> list[str]:
    """The names of attempts without what all of them begin with: "4th" for one car on one day."""
    parts = [name.split(", ") for name in names]
    most = min((len(one) for one in parts), default=1) - 1
    same = 0
    while same < most and len({one[same] for one in parts}) == 1:
        same += 1
    return [", ".join(one[same:]) for one in parts]


def headline(comparison: Comparison) -> str:
    """One plain sentence about the distance; names of groups are plain text from files."""
    known = [group for group in comparison.groups if group.summary(MAIN).mean is not None]
    if len(comparison.groups) < 2:
        return _(
            "Nothing was changed between these attempts, so there is nothing to set side by side."
        )
    if len(known) < 2:
        return _("The distances are not known, so it cannot be said which went farther.")
    if len(known) == 2:
        return _of_two(comparison.of(MAIN)[0])
    return _of_many(comparison, known)


def _of_two(d: Difference) -> str:
    if d.verdict is not Distinction.DIFFERENT:
        return _open(d)
    better, other = (d.second, d.first) if d.estimate.value > 0.0 else (d.first, d.second)
    return _(
        "{better} went farther than {other}: {size} ({share} interval {range}).",
        better=better,
        other=other,
        size=size_words(d),
        share=SURE,
        range=between_words(d),
    )


def _open(d: Difference) -> str:
    if d.verdict is Distinction.UNKNOWN:
        return _("Too few attempts to say which goes farther: make at least two of each.")
    if d.more_runs is None:
        return _(
            "No difference in distance that you can rely on yet: even {count} more of each would "
            "probably not show one.",
            count=MOST_RUNS,
        )
    if d.paired:
        return many(
            "No difference in distance that you can rely on yet: {count} more pair would probably "
            "show the {size} that you saw.",
            "No difference in distance that you can rely on yet: {count} more pairs would probably "
            "show the {size} that you saw.",
            d.more_runs,
            size=size_words(d),
        )
    return many(
        "No difference in distance that you can rely on yet: {count} more of each would probably "
        "show the {size} that you saw.",
        "No difference in distance that you can rely on yet: {count} more of each would probably "
        "show the {size} that you saw.",
        d.more_runs,
        size=size_words(d),
    )


def _of_many(comparison: Comparison, known: Sequence[Group]) -> str:
    """The best on average, and which others may be as good."""
    best = max(known, key=_mean)
    rivals = [
        other.name
        for other in known
        if other is not best and not _surely_farther(comparison, best.name, other.name)
    ]
    if not rivals:
        return _("{best} went farther than every other.", best=best.name)
    if len(rivals) == 1:
        return _(
            "{best} went farthest on average, but {other} may be as good.",
            best=best.name,
            other=rivals[0],
        )
    return _(
        "{best} went farthest on average, but {count} others may be as good.",
        best=best.name,
        count=len(rivals),
    )


def _mean(group: Group) -> float:
    mean = group.summary(MAIN).mean
    return mean.value if mean else 0.0


def _surely_farther(comparison: Comparison, best: str, other: str) -> bool:
    pair = next(d for d in comparison.of(MAIN) if {d.first, d.second} == {best, other})
    return pair.verdict is Distinction.DIFFERENT
