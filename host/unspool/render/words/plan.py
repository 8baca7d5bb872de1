"""A plan in words, for pages, pictures and the command line alike."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.car import Tier
from unspool.language import _
from unspool.render.words.reading_units import as_read
from unspool.render.words.units import quantity
from unspool.render.words.values import Text, Values, number
from unspool.study.plan import Aim, Counts, Goal, Plan, PlanCode, PlanStage
from unspool.study.plan.limits import DROP
from unspool.study.plan.parts import Part, PartKind
from unspool.study.plan.sensitivity import CarChange, CarProperty

TERM_NAMES = {
    "rolling_coefficient": "rolling resistance",
    "drag_area_m2": "air drag",
    "drive_efficiency": "loss in the drive",
}
LIMIT_NAMES = {
    "start_margin": "start margin",
    "traction_margin": "traction margin",
    "tipping_margin": "tipping margin",
    "string_margin": "string margin",
}
_PROPERTY_NAMES = {
    CarProperty.FALLING_WEIGHT: "falling weight",
    CarProperty.BODY: "car without the weight",
    CarProperty.DROP: "drop",
    CarProperty.DRIVEN_WHEELS: "driven wheels",
    CarProperty.ROLLING: "rolling coefficient",
    CarProperty.CONSTANT_DRAG: "constant drag",
    CarProperty.DRAG_AREA: "drag area",
    CarProperty.DRIVE_LOSS: "loss in the drive",
}
# What a difference above 0 means; for a mark to stop at, what a change does.
_GAIN_NAMES = {
    Aim.FARTHEST: "farther",
    Aim.FASTEST: "sooner",
    Aim.REACH: "moves the stop by",
}


MOST_NAMED = 3  # attempts that a sentence names

# How much better the best winding is.
_BETTER = {
    Aim.FARTHEST: "it goes farther by",
    Aim.FASTEST: "it passes the mark sooner by",
    Aim.REACH: "it stops nearer to the mark by",
}


def change_name(change: CarChange) -> str:
    """The property that is changed."""
    return f"tier {change.tier!r}" if change.tier is not None else _PROPERTY_NAMES[change.what]


def part_name(part: Part) -> str:
    """`weight 640 g`, `driven wheels 100 mm, 25 g each by their size`, `tier 'run' 14 mm`."""
    if part.kind is PartKind.WEIGHT:
        return f"weight {_size(1e3 * part.size, 'g')}"
    if part.kind is PartKind.DRIVEN_WHEELS:
        weighs = f"{_size(round(1e3 * (part.mass_kg or 0.0), 1), 'g')} each"
        by = "" if part.weighed else " by their size"
        return f"driven wheels {_size(1e3 * part.size, 'mm')}, {weighs}{by}"
    return f"tier {part.tier!r} {_size(1e3 * part.size, 'mm')}"


def _size(value: float, unit: str) -> str:
    """As it was measured; with plain spaces, as the name of a part stands in JSON, too."""
    shown, read = as_read(value, unit)
    return f"{shown:.4g} {read}" if read != unit else f"{shown:g} {unit}"


def winding_words(drum: Sequence[Tier], turns: Sequence[float]) -> str:
    """`7 on start, 0.25 on run`, in the order of the drum."""
    wound = zip(drum, turns, strict=True)
    return ", ".join(f"{n:g} on {tier.name}" for tier, n in wound if n > 0.0)


def order_words(drum: Sequence[Tier]) -> str:
    """`5.5 turns on run, then 3.5 on start`, in the order in which a hand winds them."""
    wound = [(tier.turns, tier.name) for tier in reversed(drum) if tier.turns > 0.0]
    (turns, name), *others = wound or [(0.0, drum[0].name)]
    return ", then ".join(
        [f"{turns:g} turns on {name}", *(f"{n:g} on {tier}" for n, tier in others)]
    )


def best_words(plan: Plan) -> str:
    """What the proposed winding gives away for being simple, in a sentence."""
    if plan.best.gain <= 0.0:
        return "No winding is better, whatever its turns."
    turns = winding_words(plan.car.drum, plan.best.turns)
    gain = quantity(plan.best.gain, plan.goal.unit, 2)
    return f"The best winding, with any turns, is {turns}: {_BETTER[plan.goal.aim]} {gain}."


def distance_words(goal: Goal) -> str:
    """Which distance a plan for the farthest run counts."""
    if goal.counts is Counts.FURTHEST:
        return _("the furthest point counts")
    return _("the resting place counts")


def goal_words(goal: Goal) -> str:
    """What is wanted, in a few words: `go farthest (the resting place counts)`."""
    mark = quantity(goal.mark_m, "m")
    return {
        Aim.FARTHEST: _("go farthest ({distance})", distance=distance_words(goal)),
        Aim.FASTEST: _("pass {mark} soonest", mark=mark),
        Aim.REACH: _("stop at {mark}", mark=mark),
    }[goal.aim]


def binding_words(plan: Plan) -> str:
    """What holds the goal back, in a sentence."""
    limits = binding_limits(plan)
    return f"Held back by {' and by '.join(limits)}." if limits else "No limit holds it back."


def binding_limits(plan: Plan) -> list[str]:
    """Each limit that holds the goal back, with its size."""
    drop = f"the drop of {quantity(1e3 * plan.car.drop_m, 'mm', 0)}, all of it used"
    return [
        drop
        if name == DROP
        else f"the {LIMIT_NAMES[name]} of at least {getattr(plan.limits, name):g}"
        for name in plan.binding
    ]


def attempts_words(names: Sequence[str]) -> str:
    """The names of a few attempts; of many the first, and how many others there are."""
    if len(names) <= MOST_NAMED:
        return "; ".join(names)
    return _("{first} and {others} others", first=names[0], others=len(names) - 1)


def gain_words(goal: Goal) -> str:
    """What a change of the car gains, with its unit, for the axis of a picture."""
    at = f" at {quantity(goal.mark_m, 'm')}" if goal.aim is Aim.FASTEST else ""
    return f"{_GAIN_NAMES[goal.aim]}{at} ({goal.unit})"


def stage_words(stage: PlanStage, step: int, steps: int) -> str:
    """What is under way, in a few words."""
    return {
        PlanStage.PARTS: f"trying parts, {step} of {steps}",
        PlanStage.WINDINGS: "trying windings",
        PlanStage.CHANGES: "changing one thing at a time",
        PlanStage.MOST_INFORMATIVE: "looking for the most informative winding",
    }[stage]


def _mark_missed(v: Values) -> str:
    past = number(v, "past_m")
    side = "past" if past > 0.0 else "short of"
    return (
        f"No winding stops at the mark: this one stops {quantity(abs(past), 'm')} {side} it. "
        "Change the drum or the weight."
    )


def _traction_not_known(_: Values) -> str:
    return (
        "Whether the wheels slip or the car tips is not known: the car file lacks wheelbase_mm or "
        "the centre of mass. Try it with care."
    )


def _string_strength_not_known(_: Values) -> str:
    return (
        "Whether the string holds is not known: the car file lacks breaking_load_n. Try it with "
        "care."
    )


def _taper_assumed(v: Values) -> str:
    return f"Tier {v['tier']!r} tapers. The plan stretches the taper over the planned turns."


def _finer_turns(v: Values) -> str:
    return (
        f"No winding in steps of {number(v, 'asked_turns'):g} turns keeps the limits. This one has "
        f"steps of {number(v, 'turns'):g}: mark the string by length."
    )


TEXTS: dict[str, Text] = {
    PlanCode.FINER_TURNS: _finer_turns,
    PlanCode.MARK_MISSED: _mark_missed,
    PlanCode.TRACTION_NOT_KNOWN: _traction_not_known,
    PlanCode.STRING_STRENGTH_NOT_KNOWN: _string_strength_not_known,
    PlanCode.TAPER_ASSUMED: _taper_assumed,
}
