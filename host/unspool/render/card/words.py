"""The words of a winding card, the same on paper and on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from unspool.car import Tier
from unspool.language import _, day_words, later, localised, many, translated
from unspool.render.figures.frame import CROWDED
from unspool.render.words.events import event_word
from unspool.render.words.findings import sentence
from unspool.render.words.plan import attempts_words, floor_name, goal_words
from unspool.render.words.reading_units import as_read
from unspool.render.words.safety import AT_THE_TRACK
from unspool.render.words.units import NBSP, between, quantity, sized
from unspool.study.plan.winding_card import WindingCard

Row = tuple[str, ...]

WIND_HEADS = (
    "",
    later("tier"),
    later("drum"),
    later("turns"),
    later("string"),
    later("mark at"),
)
COURSE_HEADS = (later("on the track"), later("where"), later("when"))
SPLIT_HEADS = (later("at"), later("after"))
WRITE_IN = (
    later("attempt"),
    later("stopped at"),
    later("time"),
    later("what was changed, what was seen"),
)
MARKS = later(
    "Measure the marks along the string from its end at the drum. Wind the wheel backwards, the "
    "tiers in this order, until each mark comes to the drum."
)
BLANK_RUNS = 6
LONGEST_NAME = 28  # letters that fit into a column on a sheet
MOST_LABELS = 8  # more do not fit below a strip


def title(card: WindingCard) -> str:
    return _("{car} on {floor}", car=card.car.name, floor=floor_name(card.track))


def whole_title(card: WindingCard) -> str:
    """The title of the document."""
    return _("Winding card: {name}", name=title(card))


def facts(card: WindingCard) -> list[tuple[str, str]]:
    """What the card is of, each with its name: car, weight, goal, losses and day."""
    car = card.car
    mass, drop = sized(1e3 * car.weight_mass_kg, "g"), _mm(car.drop_m)
    weight = _("{mass}, falls {drop}", mass=mass, drop=drop)
    rows = [(_("car"), car.name), (_("floor"), card.track.name), (_("weight"), weight)]
    rows += [(_("goal"), goal_words(card.goal))] if card.goal else []
    rows += [(_("losses"), _learnt(card))]
    return [*rows, (_("made on"), day_words(card.day))] if card.day else rows


def _learnt(card: WindingCard) -> str:
    if not card.learnt_from:
        return _("of the car file")
    return _("from {attempts}", attempts=attempts_words(card.learnt_from))


def outcome(card: WindingCard) -> str:
    """What the car should do, in a sentence."""
    p = card.prediction
    if not p.starts:
        return _("Wound like this, it does not start.")
    if not isfinite(p.distance_m):
        return _("With the losses in its car file, nothing stops it.")
    low, high = quantity(p.distance_low_m, "m", 1), quantity(p.distance_high_m, "m", 1)
    share = f"90{NBSP}%"
    stop, time = quantity(p.distance_m, "m", 1), quantity(p.duration_s, "s", 1)
    return _(
        "It should stop at {stop} ({share} between {low} and {high}) after {time}.",
        stop=stop,
        share=share,
        low=low,
        high=high,
        time=time,
    )


def cautions(card: WindingCard) -> list[str]:
    """What to mind: the prediction's findings, then what every car needs."""
    return [*(sentence(finding) for finding in card.prediction.findings), *translated(AT_THE_TRACK)]


def string_words(card: WindingCard) -> str:
    """How the string wound compares with the drop."""
    turns = many("{count}\u00a0turn", "{count}\u00a0turns", card.turns)
    said = {"turns": turns, "wound": _mm(card.string_m), "drop": _mm(card.car.drop_m)}
    if abs(card.spare_m) < 0.0005:
        return _("{turns}, {wound} of string: all of the drop.", **said)
    if card.spare_m > 0.0:
        return _(
            "{turns}, {wound} of string for a drop of {drop}: {spare} stay unused.",
            **said,
            spare=_mm(card.spare_m),
        )
    return _(
        "{turns}, {wound} of string for a drop of {drop}: the weight lands before it is off.",
        **said,
    )


def wind_rows(card: WindingCard) -> list[Row]:
    tiers = {tier.name: tier for tier in card.car.drum}
    return [
        (
            f"{number}.",
            _short(one.tier),
            _across(tiers[one.tier], card.car.string_diameter_m),
            localised(f"{one.turns:g}"),
            _mm(one.string_m),
            _mm(one.mark_m),
        )
        for number, one in enumerate(card.windings, 1)
    ]


def course_rows(card: WindingCard) -> list[Row]:
    return [
        (_short(event_word(event)), quantity(event.distance_m, "m"), quantity(event.time_s, "s"))
        for event in card.prediction.events[1:]
    ]


def split_rows(card: WindingCard) -> list[Row]:
    return [(_place(s.distance_m), quantity(s.time_s, "s")) for s in card.splits]


def _place(distance_m: float) -> str:
    """A whole number of metres, or what that is in feet."""
    value, unit = as_read(distance_m, "m")
    return (
        f"{localised(f'{value:g}')}{NBSP}{unit}"
        if value == distance_m
        else quantity(distance_m, "m", 1)
    )


def string_marks(card: WindingCard) -> list[tuple[float, str]]:
    """Share of the string and label of each mark, from the drum's end."""
    return [(one.mark_m / card.string_m, _mm(one.mark_m)) for one in card.windings]


def track_marks(card: WindingCard) -> list[tuple[float, str]]:
    """Share of the way and label of each event, from the launch."""
    reach = card.prediction.reach_m or 1.0
    return [
        (event.distance_m / reach, f"{_short(event_word(event))} {quantity(event.distance_m, 'm')}")
        for event in card.prediction.events[1:]
    ]


def strip_rows(marks: Sequence[tuple[float, str]]) -> list[int]:
    """A row for each label below a strip; none if there are more than fit.

    Of near neighbours each is lower than the next, so that its line does not cross a label.
    """
    if len(marks) > MOST_LABELS:
        return []
    rows = [0] * len(marks)
    for i in range(len(marks) - 2, -1, -1):
        if marks[i + 1][0] - marks[i][0] < CROWDED:
            rows[i] = rows[i + 1] + 1
    return rows


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_NAME else text[: LONGEST_NAME - 1] + "…"


def _across(tier: Tier, string_m: float) -> str:
    """The bare drum's diameter, and its other end's if it tapers."""
    first, last = (2e3 * radius - 1e3 * string_m for radius in (tier.radius_m, tier.end_radius_m))
    return between(first, last, "mm", 1) if tier.tapered else quantity(first, "mm", 1)


def _mm(metres: float) -> str:
    return quantity(1e3 * metres, "mm", 0)
