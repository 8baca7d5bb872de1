"""A worksheet's words: each question, the formula that helps, and how the answer is found."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from unspool.language import _, later, localised, many
from unspool.render.words.units import quantity
from unspool.render.words.values import Values, in_a_row, number, words
from unspool.study.worksheet import Ask, Change, Choice, Mark, Number, Option, Question

OPTIONS: Mapping[str, str] = {
    Change.FARTHER: later("it goes farther"),
    Change.SAME: later("it goes as far as before"),
    Change.SHORTER: later("it goes less far"),
    Option.SHORTER_THAN_DROP: later(
        "it is shorter: the string lets go before the weight has landed"
    ),
    Option.AS_LONG_AS_DROP: later("it is as long: the string lets go as the weight lands"),
    Option.LONGER_THAN_DROP: later("it is longer: the weight lands before the string lets go"),
}

MARKS: Mapping[Mark, str] = {
    Mark.RIGHT: later("Right."),
    Mark.NOT_YET: later("Not yet. Look at the formula again."),
    Mark.POWER_OF_TEN: later("The digits are right. Look at the unit and the decimal point."),
    Mark.NO_NUMBER: later("This is no number. Type the number alone, without its unit."),
}


def question_text(question: Question) -> str:
    """The question, with the sizes that it needs."""
    return _ASKED[question.ask](question.given)


def formula_text(question: Question) -> str:
    """The formula that helps; empty if none does."""
    found = _FORMULAS.get(question.ask)
    return _(found) if found else ""


def option_text(option: str) -> str:
    """An option in words; the name of a tier stays as it is."""
    found = OPTIONS.get(option)
    return _(found) if found else option


def answer_text(question: Question) -> str:
    """The right answer."""
    if isinstance(question, Choice):
        return option_text(question.answer)
    return _in_unit(question)


def mark_text(mark: Mark) -> str:
    return _(MARKS[mark])


def _in_unit(question: Number) -> str:
    if question.unit == "mm":
        return quantity(1e3 * question.answer, "mm", 0)
    return quantity(question.answer, question.unit, 3 if question.answer < 1.0 else 2)


def in_g(values: Values, name: str) -> str:
    return quantity(1e3 * number(values, name), "g", 0)


def in_kg(values: Values, name: str) -> str:
    return quantity(number(values, name), "kg", 3)


def in_mm(values: Values, name: str) -> str:
    return quantity(1e3 * number(values, name), "mm", 2)


def in_m(values: Values, name: str, digits: int = 3) -> str:
    return quantity(number(values, name), "m", digits)


def _share(values: Values, name: str) -> str:
    return quantity(100.0 * number(values, name), "%", 0)


def _energy_stored(v: Values) -> str:
    return _(
        "The weight has a mass of {mass} and can drop by {drop}. "
        "How much energy does it store at the top?",
        mass=in_g(v, "weight_kg"),
        drop=in_m(v, "drop_m"),
    )


def _string_wound(v: Values) -> str:
    wound = in_a_row(
        many(
            "{tier}: {count} turn, radius {radius}",
            "{tier}: {count} turns, radius {radius}",
            turns,
            tier=name,
            radius=quantity(1e3 * radius, "mm", 2),
        )
        for name, radius, turns in tiers(v)
    )
    return _("The string is wound like this: {tiers}. How long is it in all?", tiers=wound)


def tiers(values: Values) -> list[tuple[str, float, float]]:
    """Name, radius in m and turns of each tier."""
    rows = (values["radii_m"], values["turns"])
    radii, turns = ([float(one) for one in row] if isinstance(row, tuple) else [] for row in rows)
    return list(zip(words(values, "tiers"), radii, turns, strict=True))


def _string_and_drop(_values: Values) -> str:
    return _("Compare the string with the drop. What follows?")


def _force_at_tyre(v: Values) -> str:
    return _(
        "The string leaves the tier “{tier}” first, at a radius of {radius}. The driven wheels "
        "have a radius of {wheel}. String, pulley and peg pass on {efficiency} of the pull. "
        "With which force do the tyres push the car?",
        tier=v["tier"],
        radius=in_mm(v, "radius_m"),
        wheel=in_mm(v, "wheel_m"),
        efficiency=_share(v, "efficiency"),
    )


def _strongest_tier(_values: Values) -> str:
    return _("Which tier pulls the car hardest?")


def _circumference(v: Values) -> str:
    return _(
        "The driven wheels have a radius of {wheel}. How far does the car go in one turn?",
        wheel=in_mm(v, "wheel_m"),
    )


def _tier_change(v: Values) -> str:
    return _(
        "The tier “{tier}” holds {turns} turns, and one turn of the drum is one turn of the wheel. "
        "How far from the start does the string change to the tier “{next}”?",
        tier=v["tier"],
        turns=localised(f"{number(v, 'turns'):g}"),
        next=v["next_tier"],
    )


def _release(v: Values) -> str:
    return _(
        "There are {turns} turns in all. How far from the start does the string let go?",
        turns=localised(f"{number(v, 'turns'):g}"),
    )


def _resistance(v: Values) -> str:
    constant = number(v, "constant_n")
    rolling = {
        "total": in_kg(v, "total_kg"),
        "coefficient": quantity(number(v, "coefficient"), "", 4),
    }
    if not constant:
        return _(
            "The car has a mass of {total}, and its rolling coefficient is {coefficient}. "
            "Which force slows it?",
            **rolling,
        )
    return _(
        "The car has a mass of {total}, and its rolling coefficient is {coefficient}. A rubbing "
        "part holds it back with {constant} more. Which force slows it in all?",
        **rolling,
        constant=quantity(constant, "N", 3),
    )


def _longest_way(v: Values) -> str:
    return _(
        "The weight pulls while it drops by {used}, and {efficiency} of that energy reaches the "
        "wheels. How far can the car go if nothing but that force slows it?",
        used=in_m(v, "used_m"),
        efficiency=_share(v, "efficiency"),
    )


def _heavier(v: Values) -> str:
    more = quantity(100.0 * (number(v, "factor") - 1.0), "%", 0)
    return _("What if the weight were {more} heavier?", more=more)


def _smaller(v: Values) -> str:
    less = quantity(100.0 * (1.0 - number(v, "factor")), "%", 0)
    return _("What if the driven wheels were {less} smaller?", less=less)


def _less_drag(v: Values) -> str:
    less = quantity(100.0 * (1.0 - number(v, "factor")), "%", 0)
    return _("What if the car rolled with {less} less resistance?", less=less)


def _forecast_error(v: Values) -> str:
    return _(
        "You forecast {forecast}, and the tape says {taped}. By how many percent of the taped "
        "distance did you miss?",
        forecast=_far(v, "forecast_m"),
        taped=_far(v, "taped_m"),
    )


def _slowed_by(v: Values) -> str:
    return _(
        "{energy} reached the wheels, and the car went {taped}. Which force slowed it on average?",
        energy=quantity(number(v, "energy_j"), "J", 2),
        taped=_far(v, "taped_m"),
    )


def _far(values: Values, name: str) -> str:
    return quantity(number(values, name), "m", 2)


_ASKED: Mapping[Ask, Callable[[Values], str]] = {
    Ask.ENERGY_STORED: _energy_stored,
    Ask.STRING_WOUND: _string_wound,
    Ask.STRING_AND_DROP: _string_and_drop,
    Ask.FORCE_AT_TYRE: _force_at_tyre,
    Ask.STRONGEST_TIER: _strongest_tier,
    Ask.CIRCUMFERENCE: _circumference,
    Ask.TIER_CHANGE: _tier_change,
    Ask.RELEASE: _release,
    Ask.RESISTANCE: _resistance,
    Ask.LONGEST_WAY: _longest_way,
    Ask.HEAVIER_WEIGHT: _heavier,
    Ask.SMALLER_WHEELS: _smaller,
    Ask.LESS_DRAG: _less_drag,
    Ask.FORECAST_ERROR: _forecast_error,
    Ask.SLOWED_BY: _slowed_by,
}

_FORMULAS: Mapping[Ask, str] = {
    Ask.ENERGY_STORED: later("energy = mass × 9.81 m/s² × height"),
    Ask.STRING_WOUND: later("length on a tier = 2 × π × radius × turns"),
    Ask.FORCE_AT_TYRE: later(
        "force = share × mass × 9.81 m/s² × radius of the tier ÷ radius of the wheel"
    ),
    Ask.CIRCUMFERENCE: later("circumference = 2 × π × radius"),
    Ask.TIER_CHANGE: later("distance = turns × circumference"),
    Ask.RELEASE: later("distance = turns × circumference"),
    Ask.RESISTANCE: later("force = coefficient × mass × 9.81 m/s²"),
    Ask.LONGEST_WAY: later("distance = energy ÷ force"),
    Ask.FORECAST_ERROR: later("percent = 100 × difference ÷ taped distance"),
    Ask.SLOWED_BY: later("force = energy ÷ distance"),
}
