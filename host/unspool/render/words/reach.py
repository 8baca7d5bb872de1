"""How far the sizes of a plan may move, in words: the best, what is as good, and its bounds."""

from __future__ import annotations

from unspool.language import _, later, translated
from unspool.render.words.units import between, sized
from unspool.render.words.values import listed
from unspool.study.plan import Plan
from unspool.study.plan.flatness import TurnsRange
from unspool.study.plan.limits import DROP, DRUM
from unspool.study.plan.reach import Reach, Size, Span

# What a builder sees if a limit is broken.
FORBIDS = {
    "start_margin": later("the pull is too weak to start it surely"),
    "traction_margin": later("the wheels would slip"),
    "tipping_margin": later("the front would lift"),
    "string_margin": later("the string might break"),
    DRUM: later("the tier would be as large as the wheel"),
    DROP: later("the string would be longer than the drop"),
}
LESS = later("Less is not possible: {why}.")
MORE = later("More is not possible: {why}.")
# The same in a word or two, for what holds the whole plan back.
HOLDS = {
    "start_margin": later("weak pull at the start"),
    "traction_margin": later("wheel slip"),
    "tipping_margin": later("lifting front"),
    "string_margin": later("strength of the string"),
    DROP: later("tower height"),
}


def span_name(span: Span) -> str:
    """The size as a slider is labelled."""
    return {
        Size.WEIGHT: _("Weight"),
        Size.DRIVEN_WHEELS: _("Driven wheels"),
        Size.TIER: _("Tier {tier}", tier=span.tier),
        Size.TURNS: _("Turns on {tier}", tier=span.tier),
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
        return _("No value of it alone keeps the limits.")
    if reach.low <= span.low and reach.high >= span.high:
        return _("It hardly matters by itself.")
    said = [_("Best: {best}.", best=_said(span, reach.best)), _nearly(reach, reach.low, reach.high)]
    said += [_(message, why=_(FORBIDS[limit])) for message, limit in _forbidden(reach)]
    return " ".join(filter(None, said))


def _nearly(reach: Reach, low: float, high: float) -> str:
    if low == high:
        return ""
    ends = {"low": _said(reach.span, low), "high": _said(reach.span, high)}
    return _("Nearly as good: {low} to {high}.", **ends)


def _forbidden(reach: Reach) -> list[tuple[str, str]]:
    both = ((LESS, reach.below), (MORE, reach.above))
    return [(message, limit) for message, limit in both if limit is not None]


def _said(span: Span, value: float) -> str:
    return sized(shown(span, value), span_unit(span))


def holds_words(plan: Plan) -> str:
    """What holds the goal back, in a word or two."""
    return listed(tuple(translated(HOLDS[name] for name in plan.binding)), none=_("nothing"))


def range_words(one: TurnsRange) -> str:
    """The turns on a tier that are nearly as good."""
    return between(one.low, one.high, "", 1)
