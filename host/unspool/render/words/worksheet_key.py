"""A worksheet's key: how each answer is found, for the teacher."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from unspool.language import _, later, localised
from unspool.render.words.units import NBSP, apart, quantity
from unspool.render.words.values import number
from unspool.render.words.worksheet import answer_text, in_kg, in_m, in_mm, tiers
from unspool.study.worksheet import Ask, Question

G = f"9.81{NBSP}m/s²"


def working_text(question: Question) -> str:
    """How the answer is found."""
    return _WORKING[question.ask](question)


def _energy_working(q: Question) -> str:
    v = q.given
    return f"{in_kg(v, 'weight_kg')} × {_g_force()} × {in_m(v, 'drop_m')} = {answer_text(q)}"


def _g_force() -> str:
    return localised(G)


def _string_working(q: Question) -> str:
    parts = (
        f"2 × π × {quantity(1e3 * radius, 'mm', 2)} × {localised(f'{turns:g}')}"
        for _name, radius, turns in tiers(q.given)
    )
    return f"{' + '.join(parts)} = {answer_text(q)}"


def _length_working(q: Question) -> str:
    v = q.given
    return _(
        "{string} of string for a drop of {drop}: {answer}.",
        string=in_m(v, "string_m"),
        drop=in_m(v, "drop_m"),
        answer=answer_text(q),
    )


def _force_working(q: Question) -> str:
    v = q.given
    share = quantity(number(v, "efficiency"), "", 2)
    return (
        f"{share} × {in_kg(v, 'weight_kg')} × {_g_force()} × {in_mm(v, 'radius_m')} ÷ "
        f"{in_mm(v, 'wheel_m')} = {answer_text(q)}"
    )


def _strongest_working(q: Question) -> str:
    return _(
        "{tier}: the string pulls at the largest radius there, so its lever is the longest.",
        tier=answer_text(q),
    )


def _around_working(q: Question) -> str:
    return f"2 × π × {in_mm(q.given, 'wheel_m')} = {answer_text(q)}"


def _turns_working(q: Question) -> str:
    turns = localised(f"{number(q.given, 'turns'):g}")
    return _("{turns} × circumference = {answer}", turns=turns, answer=answer_text(q))


def _resistance_working(q: Question) -> str:
    v = q.given
    rolling = f"{quantity(number(v, 'coefficient'), '', 4)} × {in_kg(v, 'total_kg')} × {_g_force()}"
    constant = number(v, "constant_n")
    more = f" + {quantity(constant, 'N', 3)}" if constant else ""
    return f"{rolling}{more} = {answer_text(q)}"


def _way_working(q: Question) -> str:
    return _(
        "Energy that reaches the wheels ÷ {force} = {answer}. The real car stops earlier: air, "
        "the catch at a change of tier and the weight's landing take energy too.",
        force=quantity(number(q.given, "resistance_n"), "N", 3),
        answer=answer_text(q),
    )


def _error_working(q: Question) -> str:
    v = q.given
    forecast, taped = number(v, "forecast_m"), number(v, "taped_m")
    missed = apart(taped, forecast, "m")
    return f"100 × {missed} ÷ {quantity(taped, 'm', 2)} = {answer_text(q)}"


def _slowed_working(q: Question) -> str:
    v = q.given
    energy = quantity(number(v, "energy_j"), "J", 2)
    return f"{energy} ÷ {quantity(number(v, 'taped_m'), 'm', 2)} = {answer_text(q)}"


def _change_working(q: Question) -> str:
    v = q.given
    changed = v["changed_m"]
    return _(
        "The model expects {changed} instead of {usual}: {answer}. {why}",
        changed=quantity(changed if isinstance(changed, float) else None, "m", 1),
        usual=quantity(number(v, "usual_m"), "m", 1),
        answer=answer_text(q),
        why=_(_WHY[q.ask]),
    )


_WHY: Mapping[Ask, str] = {
    Ask.HEAVIER_WEIGHT: later(
        "A heavier weight stores more energy, but the car that carries it is heavier and rolls "
        "harder."
    ),
    Ask.SMALLER_WHEELS: later(
        "Smaller wheels pull harder and let go sooner, but the stored energy stays the same."
    ),
    Ask.LESS_DRAG: later(
        "The energy stays the same, and a smaller force takes longer to use it up."
    ),
}

_WORKING: Mapping[Ask, Callable[[Question], str]] = {
    Ask.ENERGY_STORED: _energy_working,
    Ask.STRING_WOUND: _string_working,
    Ask.STRING_AND_DROP: _length_working,
    Ask.FORCE_AT_TYRE: _force_working,
    Ask.STRONGEST_TIER: _strongest_working,
    Ask.CIRCUMFERENCE: _around_working,
    Ask.TIER_CHANGE: _turns_working,
    Ask.RELEASE: _turns_working,
    Ask.RESISTANCE: _resistance_working,
    Ask.LONGEST_WAY: _way_working,
    Ask.HEAVIER_WEIGHT: _change_working,
    Ask.SMALLER_WHEELS: _change_working,
    Ask.LESS_DRAG: _change_working,
    Ask.FORECAST_ERROR: _error_working,
    Ask.SLOWED_BY: _slowed_working,
}
