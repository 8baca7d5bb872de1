"""How far the sizes of a plan may move, in words: the best, what is as good, and its bounds."""

from __future__ import annotations

from unspool.render.words.units import between, sized
from unspool.study.plan import Plan
from unspool.study.plan.flatness import TurnsRange
from unspool.study.plan.limits import DROP, DRUM
from unspool.study.plan.reach import Reach, Size, Span

# What a builder sees if a limit is broken.
FORBIDS = {
    "start_margin": "the pull is too weak to start it surely",
    "traction_margin": "the wheels would slip",
    "tipping_margin": "the front would lift",
    "string_margin": "the string might break",
    DRUM: "the tier would be as large as the wheel",
    DROP: "the string would be longer than the drop",
}
# The same in a word or two, for what holds the whole plan back.
HOLDS = {
    "start_margin": "weak pull at the start",
    "traction_margin": "wheel slip",
    "tipping_margin": "lifting front",
    "string_margin": "strength of the string",
    DROP: "tower height",
}


def span_name(span: Span) -> str:
    """The size as a slider is labelled."""
    return {
        Size.WEIGHT: "Weight",
        Size.DRIVEN_WHEELS: "Driven wheels",
        Size.TIER: f"Tier {span.tier}",
        Size.TURNS: f"Turns on {span.tier}",
    }[span.what]


def span_unit(span: Span) -> str:
    """The unit that builders use, in which `shown` gives a value."""
    return {Size.WEIGHT: "g", Size.TURNS: "turns"}.get(span.what, "mm")


def shown(span: Span, value: float) -> float:
    """A value of the span in its unit."""
    return value if span.what is Size.TURNS else 1e3 * value


def reach_words(reach: Reach) -> str:
    """ "Best: 5.5 turns. Nearly as good: 5 to 6.25. More is not possible: ..." """
    span = reach.span
    if reach.best is None or reach.low is None or reach.high is None:
        return "No value of it alone keeps the limits."
    if reach.low <= span.low and reach.high >= span.high:
        return "It hardly matters by itself."
    said = [f"Best: {_said(span, reach.best)}.", _nearly(reach, reach.low, reach.high)]
    said += [f"{word} is not possible: {FORBIDS[limit]}." for word, limit in _forbidden(reach)]
    return " ".join(filter(None, said))


def _nearly(reach: Reach, low: float, high: float) -> str:
    if low == high:
        return ""
    return f"Nearly as good: {_said(reach.span, low)} to {_said(reach.span, high)}."


def _forbidden(reach: Reach) -> list[tuple[str, str]]:
    both = (("Less", reach.below), ("More", reach.above))
    return [(word, limit) for word, limit in both if limit is not None]


def _said(span: Span, value: float) -> str:
    return sized(shown(span, value), span_unit(span))


def holds_words(plan: Plan) -> str:
    """What holds the goal back, in a word or two."""
    return " and ".join(HOLDS[name] for name in plan.binding) or "nothing"


def range_words(one: TurnsRange) -> str:
    """The turns on a tier that are nearly as good."""
    return between(one.low, one.high, "", 1)
