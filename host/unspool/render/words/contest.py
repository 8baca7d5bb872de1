"""Sentences of what a contest's judges should look at, and its scores in words."""

from __future__ import annotations

from math import isinf

from unspool.contest import Attempt, ContestCode, Forecaster, Penalty, Rules, attempt_score
from unspool.contest.scoring import rounded
from unspool.language import _, localised
from unspool.render.words.units import NBSP
from unspool.render.words.values import Text, Values, listed, number, words

TEXTS: dict[str, Text] = {
    ContestCode.TAPE_AND_WHEEL_DIFFER: lambda v: _(
        "{attempt}: the tape says {tape}, the wheel {wheel}. Look at both again.",
        attempt=_attempt(v),
        tape=_metres(v, "tape_m"),
        wheel=_metres(v, "wheel_m"),
    ),
    ContestCode.TWO_TAPES: lambda v: _(
        "{attempt}: {who} measured {metres}, too, and it does not count. {counts} counts.",
        attempt=_attempt(v),
        who=v["who"],
        metres=_metres(v, "metres_m"),
        counts=_metres(v, "counts_m"),
    ),
    ContestCode.NO_CLASS: lambda v: _(
        "{car} fits no class: give its weight and its age.", car=v["entry"]
    ),
    ContestCode.RUN_OFF_NEEDED: lambda v: _(
        "A run-off decides place {place}: {cars}.",
        place=v["place"],
        cars=listed(words(v, "entries")),
    ),
    ContestCode.NOT_MEASURED: lambda v: _(
        "{attempt}: was called, but not measured yet.", attempt=_attempt(v)
    ),
}


def usual_rules() -> Rules:
    """Of a new contest: with the penalties that nearly every one needs."""
    names = (_("Not at the start"), _("False start"))
    return Rules(penalties=tuple(Penalty(name=name, void=True) for name in names))


def score_text(score: float | None, rules: Rules) -> str:
    """ "12.61 m", whatever units the reader has chosen: the rules are in metres."""
    if score is None:
        return "-"
    return f"{localised(figure(score, rules))}{NBSP}{unit(rules)}"


def unit(rules: Rules) -> str:
    """Of scores."""
    return "s" if rules.least_wins else "m"


def figure(value: float | None, rules: Rules) -> str:
    """A score without its unit and with a decimal point, as a table of figures has it.

    A mean is rounded half up, as its attempts are.
    """
    digits = _digits(rules)
    return "" if value is None else f"{rounded(value, 10.0**-digits):.{digits}f}"


def attempt_text(attempt: Attempt, rules: Rules) -> str:
    """Its score, or why it has none."""
    return _("no result") if attempt.void else score_text(attempt_score(attempt, rules), rules)


def attempt_figure(attempt: Attempt, rules: Rules) -> str:
    return _("no result") if attempt.void else figure(attempt_score(attempt, rules), rules)


def error_text(one: Forecaster, rules: Rules) -> str:
    """How wrong a forecast was."""
    if isinf(one.error):
        return _("no share of 0")
    return f"{localised(error_figure(one, rules))}{NBSP}{error_unit(rules)}"


def error_figure(one: Forecaster, rules: Rules) -> str:
    """In metres, seconds or per cent, as `error_unit` says; "" for no share of a score of 0."""
    if isinf(one.error):
        return ""
    return f"{100.0 * one.error:.1f}" if rules.forecast == "relative" else figure(one.error, rules)


def error_unit(rules: Rules) -> str:
    return "%" if rules.forecast == "relative" else unit(rules)


def place_text(place: int | None) -> str:
    return "" if place is None else str(place)


def _digits(rules: Rules) -> int:
    """As many decimals as the resolution has."""
    return max(len(f"{rules.resolution:.6f}".rstrip("0").partition(".")[2]), 0)


def _attempt(values: Values) -> str:
    return _("{car}, attempt {number}", car=values["entry"], number=values["attempt"])


def _metres(values: Values, name: str) -> str:
    return f"{localised(f'{number(values, name):.2f}')}{NBSP}m"
