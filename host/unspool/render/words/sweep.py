"""A sweep in words, for pages, pictures and the command line alike."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.render.words.plan import goal_words
from unspool.render.words.units import quantity, sized
from unspool.study.plan import Aim
from unspool.study.sweep import Axis, NearlyBest, Sweep, Varied

# What limits a set, with the letter that stands for it in a table.
LIMIT_WORDS = {
    "start_margin": ("s", "start margin: the pull is too weak"),
    "traction_margin": ("t", "traction margin: the wheels would slip"),
    "tipping_margin": ("f", "tipping margin: the front would lift"),
    "string_margin": ("b", "string margin: the string might break"),
    "drum": ("d", "drum: a tier is as large as the wheel"),
    "drop": ("w", "winding: all that the drop allows is wound"),
    "nothing": (".", "nothing"),
}
IMPOSSIBLE = "no"
NEARLY_HEAD = ("size", "best", "within 1 % from", "to", "remark")
_NAMES = {
    Varied.DRIVEN_WHEELS: "driven wheels",
    Varied.WEIGHT: "weight",
    Varied.DROP: "drop",
}


def axis_words(axis: Axis) -> str:
    """`tier run`, `driven wheels`, `weight`, `drop`."""
    return f"tier {axis.tier}" if axis.tier is not None else _NAMES[axis.what]


def axis_title(axis: Axis) -> str:
    """The axis with its unit, for a picture."""
    return f"{axis_words(axis)} ({_unit(axis)})"


def shown(axis: Axis, value: float) -> float:
    """A value in the unit that builders use: g or mm."""
    return 1e3 * value


def size_words(axis: Axis, value: float) -> str:
    return sized(shown(axis, value), _unit(axis))


def _unit(axis: Axis) -> str:
    return "g" if axis.what is Varied.WEIGHT else "mm"


def score_title(sweep: Sweep) -> str:
    """What the picture shows, with its unit."""
    mark = quantity(sweep.goal.mark_m, "m")
    return {
        Aim.FARTHEST: "distance (m)",
        Aim.FASTEST: f"time to {mark} (s)",
        Aim.REACH: f"distance from {mark} (m)",
    }[sweep.goal.aim]


def shown_score(sweep: Sweep, score: float) -> float:
    """A score as people read it: a time or a miss is above 0."""
    return score if sweep.goal.aim is Aim.FARTHEST else -score


def aim_words(sweep: Sweep) -> str:
    """What the sets are compared by, in a few words."""
    return f"to {goal_words(sweep.goal)}"


def nearly_rows(sweep: Sweep) -> list[tuple[str, ...]]:
    """Rows under NEARLY_HEAD: how far each size can be off."""
    return [_nearly_row(one) for one in sweep.nearly]


def _nearly_row(one: NearlyBest) -> tuple[str, ...]:
    sizes = (size_words(one.axis, value) for value in (one.best, one.low, one.high))
    return axis_words(one.axis), *sizes, _remark(one)


def _remark(one: NearlyBest) -> str:
    if one.next_stopped_by is not None:
        return f"the next value is not possible; {LIMIT_WORDS[one.next_stopped_by][1]}"
    return "at the end of its range: a wider one may be better" if one.at_edge else ""


def best_sentences(sweep: Sweep) -> Iterator[str]:
    """The best set: its sizes, its winding, what it should do, and how flat it is."""
    best, p = sweep.best, sweep.best.prediction
    sizes = zip(sweep.axes, best.values, strict=True)
    named = ", ".join(f"{axis_words(axis)} {size_words(axis, x)}" for axis, x in sizes)
    yield f"The best set: {named}."
    wound = ", ".join(f"{t.turns:g} on {t.name}" for t in best.car.drum if t.turns > 0.0)
    low, high = quantity(p.distance_low_m, "m"), quantity(p.distance_high_m, "m")
    stops = f"it stops at {quantity(p.distance_m, 'm')} (90 % between {low} and {high})"
    passes = (
        f"it passes {quantity(sweep.goal.mark_m, 'm')} after {quantity(best.mark_s, 's')}, and "
    )
    yield f"Wound {wound}, {passes if sweep.goal.aim is Aim.FASTEST else ''}{stops}."
    yield f"It is limited by {LIMIT_WORDS[best.limit][1]}."
    count = quantity(100.0 * sweep.share_nearly_best, "%", 1)
    yield f"Of all {sweep.score.size} sets, {count} are within 1 % of the best."
