"""A sweep in words, for pages, pictures and the command line alike."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.language import _, later
from unspool.render.words.plan import goal_words, winding_words
from unspool.render.words.units import quantity, sized
from unspool.study.plan import Aim
from unspool.study.sweep import Axis, NearlyBest, Sweep, Varied

# What limits a set, with the letter that stands for it in a table.
LIMIT_WORDS = {
    "start_margin": ("s", later("start margin: the pull is too weak")),
    "traction_margin": ("t", later("traction margin: the wheels would slip")),
    "tipping_margin": ("f", later("tipping margin: the front would lift")),
    "string_margin": ("b", later("string margin: the string might break")),
    "drum": ("d", later("drum: a tier is as large as the wheel")),
    "drop": ("w", later("winding: all that the drop allows is wound")),
    "nothing": (".", later("nothing")),
}
_LIMITED = {
    "start_margin": later("Its start margin limits it: the pull is too weak."),
    "traction_margin": later("Its traction margin limits it: the wheels would slip."),
    "tipping_margin": later("Its tipping margin limits it: the front would lift."),
    "string_margin": later("Its string margin limits it: the string might break."),
    "drum": later("Its drum limits it: a tier is as large as the wheel."),
    "drop": later("Its winding limits it: all that the drop allows is wound."),
    "nothing": later("Nothing limits it."),
}
IMPOSSIBLE = "no"
NEARLY_HEAD = (
    later("size"),
    later("best"),
    later("within 1 % from"),
    later("to"),
    later("remark"),
)
_NAMES = {
    Varied.DRIVEN_WHEELS: later("driven wheels"),
    Varied.WEIGHT: later("weight"),
    Varied.DROP: later("drop"),
}


def axis_words(axis: Axis) -> str:
    """`tier run`, `driven wheels`, `weight`, `drop`."""
    if axis.tier is not None:
        return _("tier {tier}", tier=axis.tier)
    return _(_NAMES[axis.what])


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
        Aim.FARTHEST: _("distance (m)"),
        Aim.FASTEST: _("time to {mark} (s)", mark=mark),
        Aim.REACH: _("distance from {mark} (m)", mark=mark),
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
        why = _(LIMIT_WORDS[one.next_stopped_by][1])
        return _("the next value is not possible; {why}", why=why)
    return _("at the end of its range: a wider one may be better") if one.at_edge else ""


def best_sentences(sweep: Sweep) -> Iterator[str]:
    """The best set: its sizes, its winding, what it should do, and how flat it is."""
    best, p = sweep.best, sweep.best.prediction
    sizes = zip(sweep.axes, best.values, strict=True)
    named = ", ".join(f"{axis_words(axis)} {size_words(axis, x)}" for axis, x in sizes)
    yield _("The best set: {sizes}.", sizes=named)
    said = {
        "wound": winding_words(best.car.drum, [tier.turns for tier in best.car.drum]),
        "place": quantity(p.distance_m, "m"),
        "low": quantity(p.distance_low_m, "m"),
        "high": quantity(p.distance_high_m, "m"),
    }
    if sweep.goal.aim is Aim.FASTEST:
        mark, time = quantity(sweep.goal.mark_m, "m"), quantity(best.mark_s, "s")
        yield _(
            "Wound {wound}, it passes {mark} after {time}, and it stops at {place} (90 % between "
            "{low} and {high}).",
            **said,
            mark=mark,
            time=time,
        )
    else:
        yield _("Wound {wound}, it stops at {place} (90 % between {low} and {high}).", **said)
    yield _(_LIMITED[best.limit])
    share = quantity(100.0 * sweep.share_nearly_best, "%", 1)
    yield _(
        "Of all {count} sets, {share} are within 1 % of the best.",
        count=sweep.score.size,
        share=share,
    )


def tried_words(done: int, count: int) -> str:
    """How far a search is."""
    return _("{done} of {count} sets of sizes tried", done=done, count=count)
