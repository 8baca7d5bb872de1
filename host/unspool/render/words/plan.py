"""A plan in words, for pages, pictures and the command line alike."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.car import FLAT, Tier, Track
from unspool.language import _, later, localised, many
from unspool.render.words.reading_units import as_read
from unspool.render.words.units import quantity
from unspool.render.words.values import Text, Values, in_a_row, listed, number
from unspool.study.plan import Aim, Counts, Goal, Plan, PlanCode, PlanStage
from unspool.study.plan.limits import DROP
from unspool.study.plan.most_informative import InformativeWinding
from unspool.study.plan.parts import Part, PartKind
from unspool.study.plan.sensitivity import CarChange, CarProperty

LIMITS_OF = {
    "start_margin": later("the start margin of at least {least}"),
    "traction_margin": later("the traction margin of at least {least}"),
    "tipping_margin": later("the tipping margin of at least {least}"),
    "string_margin": later("the string margin of at least {least}"),
}
LEVEL = later("flat")
_PROPERTY_NAMES = {
    CarProperty.FALLING_WEIGHT: later("falling weight"),
    CarProperty.BODY: later("car without the weight"),
    CarProperty.DROP: later("drop"),
    CarProperty.DRIVEN_WHEELS: later("driven wheels"),
    CarProperty.ROLLING: later("rolling"),
    CarProperty.CONSTANT_DRAG: later("rubbing parts"),
    CarProperty.DRAG_AREA: later("air drag"),
    CarProperty.DRIVE_LOSS: later("loss in the drive"),
}
# What a difference above 0 means; for a mark to stop at, what a change does.
_GAIN_NAMES = {
    Aim.FARTHEST: later("farther"),
    Aim.REACH: later("moves the stop by"),
}


MOST_NAMED = 3  # attempts that a sentence names

# How much better the best winding is.
_BETTER = {
    Aim.FARTHEST: later("The best winding, with any turns, is {turns}: it goes farther by {gain}."),
    Aim.FASTEST: later(
        "The best winding, with any turns, is {turns}: it passes the mark sooner by {gain}."
    ),
    Aim.REACH: later(
        "The best winding, with any turns, is {turns}: it stops nearer to the mark by {gain}."
    ),
}
_LEARN = {
    "rolling_coefficient": later(
        "To learn most about the rolling resistance, wind {turns} instead."
    ),
    "drag_area_m2": later("To learn most about the air drag, wind {turns} instead."),
    "drive_efficiency": later("To learn most about the loss in the drive, wind {turns} instead."),
}


def change_name(change: CarChange) -> str:
    """The property that is changed."""
    if change.tier is not None:
        return _("tier {tier!r}", tier=change.tier)
    return _(_PROPERTY_NAMES[change.what])


def part_name(part: Part) -> str:
    """`weight 640 g`, `driven wheels 100 mm, 25 g each by their size`, `tier 'run' 14 mm`."""
    if part.kind is PartKind.WEIGHT:
        return _("weight {mass}", mass=_size(1e3 * part.size, "g"))
    size = _size(1e3 * part.size, "mm")
    if part.kind is not PartKind.DRIVEN_WHEELS:
        return _("tier {tier!r} {size}", tier=part.tier, size=size)
    mass = _size(round(1e3 * (part.mass_kg or 0.0), 1), "g")
    if part.weighed:
        return _("driven wheels {size}, {mass} each", size=size, mass=mass)
    return _("driven wheels {size}, {mass} each by their size", size=size, mass=mass)


def _size(value: float, unit: str) -> str:
    """As it was measured; with plain spaces, as the name of a part stands in JSON, too."""
    shown, read = as_read(value, unit)
    return f"{localised(f'{shown:.4g}' if read != unit else f'{shown:g}')} {read}"


def winding_words(drum: Sequence[Tier], turns: Sequence[float]) -> str:
    """`7 on start, 0.25 on run`, in the order of the drum."""
    wound = zip(drum, turns, strict=True)
    return ", ".join(_on(n, tier.name) for tier, n in wound if n > 0.0)


def order_words(drum: Sequence[Tier]) -> str:
    """`5.5 turns on run, then 3.5 on start`, in the order in which a hand winds them."""
    wound = [(tier.turns, tier.name) for tier in reversed(drum) if tier.turns > 0.0]
    (turns, name), *others = wound or [(0.0, drum[0].name)]
    first = many("{count} turn on {tier}", "{count} turns on {tier}", turns, tier=name)
    return _(", then ").join([first, *(_on(n, tier) for n, tier in others)])


def _on(turns: float, tier: str) -> str:
    return _("{turns} on {tier}", turns=localised(f"{turns:g}"), tier=tier)


def best_words(plan: Plan) -> str:
    """What the proposed winding gives away for being simple, in a sentence."""
    if plan.best.gain <= 0.0:
        return _("No winding is better, whatever its turns.")
    turns = winding_words(plan.car.drum, plan.best.turns)
    gain = quantity(plan.best.gain, plan.goal.unit, 2)
    return _(_BETTER[plan.goal.aim], turns=turns, gain=gain)


def learn_words(plan: Plan, most: InformativeWinding) -> str:
    """Which winding shows most about a loss, in a sentence."""
    return _(_LEARN[most.term], turns=winding_words(plan.car.drum, most.turns))


def floor_name(track: Track) -> str:
    """What the floor is called; the one that is always there has a name in each language."""
    return _(LEVEL) if track == FLAT else track.name


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
    limits = limits_words(plan)
    return _("Held back by {limits}.", limits=limits) if limits else _("No limit holds it back.")


def limits_words(plan: Plan) -> str:
    """Each limit that holds the goal back, with its size; empty if there is none."""
    limits = tuple(_limit_words(plan, name) for name in plan.binding)
    return listed(limits) if limits else ""


def _limit_words(plan: Plan, name: str) -> str:
    if name == DROP:
        drop = quantity(1e3 * plan.car.drop_m, "mm", 0)
        return _("the drop of {drop}, all of it used", drop=drop)
    return _(LIMITS_OF[name], least=localised(f"{getattr(plan.limits, name):g}"))


def attempts_words(names: Sequence[str]) -> str:
    """The names of a few attempts; of many the first, and how many others there are."""
    if len(names) <= MOST_NAMED:
        return in_a_row(names)
    return _("{first} and {others} others", first=names[0], others=len(names) - 1)


def gain_words(goal: Goal) -> str:
    """What a change of the car gains, with its unit, for the axis of a picture."""
    if goal.aim is Aim.FASTEST:
        name = _("sooner at {mark}", mark=quantity(goal.mark_m, "m"))
    else:
        name = _(_GAIN_NAMES[goal.aim])
    return f"{name} ({goal.unit})"


def stage_words(stage: PlanStage, step: int, steps: int) -> str:
    """What is under way, in a few words."""
    return {
        PlanStage.PARTS: _("trying parts, {step} of {steps}", step=step, steps=steps),
        PlanStage.WINDINGS: _("trying windings"),
        PlanStage.CHANGES: _("changing one thing at a time"),
        PlanStage.MOST_INFORMATIVE: _("looking for the most informative winding"),
    }[stage]


def _mark_missed(v: Values) -> str:
    past = number(v, "past_m")
    off = quantity(abs(past), "m")
    if past > 0.0:
        return _(
            "No winding stops at the mark: this one stops {off} past it. Change the drum or the "
            "weight.",
            off=off,
        )
    return _(
        "No winding stops at the mark: this one stops {off} short of it. Change the drum or the "
        "weight.",
        off=off,
    )


def _traction_not_known(_values: Values) -> str:
    return _(
        "Whether the wheels slip or the car tips is not known: its wheelbase or its centre of "
        "mass is missing in the car's file. Try it with care."
    )


def _string_strength_not_known(_values: Values) -> str:
    return _(
        "Whether the string holds is not known: its breaking load is missing in the car's file. "
        "Try it with care."
    )


def _taper_assumed(v: Values) -> str:
    return _(
        "Tier {tier!r} tapers. The plan stretches the taper over the planned turns.", tier=v["tier"]
    )


def _finer_turns(v: Values) -> str:
    return _(
        "No winding in steps of {asked} turns keeps the limits. This one has steps of {turns}: "
        "mark the string by length.",
        asked=localised(f"{number(v, 'asked_turns'):g}"),
        turns=localised(f"{number(v, 'turns'):g}"),
    )


TEXTS: dict[str, Text] = {
    PlanCode.FINER_TURNS: _finer_turns,
    PlanCode.MARK_MISSED: _mark_missed,
    PlanCode.TRACTION_NOT_KNOWN: _traction_not_known,
    PlanCode.STRING_STRENGTH_NOT_KNOWN: _string_strength_not_known,
    PlanCode.TAPER_ASSUMED: _taper_assumed,
}
