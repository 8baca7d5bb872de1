"""Sentences of what a contest's judges should look at, and its scores in words."""

from __future__ import annotations

from math import isinf

from unspool.contest import ContestCode, Forecaster, Rules
from unspool.render.words.units import NBSP
from unspool.render.words.values import Text, Values, listed, number, words

TEXTS: dict[str, Text] = {
    ContestCode.TAPE_AND_WHEEL_DIFFER: lambda v: (
        f"{_attempt(v)}: the tape says {_metres(v, 'tape_m')}, the wheel {_metres(v, 'wheel_m')}."
        " Look at both again."
    ),
    ContestCode.TWO_TAPES: lambda v: (
        f"{_attempt(v)}: {v['who']} measured {_metres(v, 'metres_m')}, too, and it does not count."
        f" {_metres(v, 'counts_m')} counts."
    ),
    ContestCode.NO_CLASS: lambda v: f"{v['entry']} fits no class: give its weight and its age.",
    ContestCode.RUN_OFF_NEEDED: lambda v: (
        f"A run-off decides place {v['place']}: {listed(words(v, 'entries'))}."
    ),
    ContestCode.NOT_MEASURED: lambda v: f"{_attempt(v)}: was called, but not measured yet.",
}


def score_text(score: float | None, rules: Rules) -> str:
    """ "12.61 m", whatever units the reader has chosen: the rules are in metres."""
    if score is None:
        return "-"
    return f"{score:.{_digits(rules)}f}{NBSP}{'s' if rules.least_wins else 'm'}"


def error_text(one: Forecaster, rules: Rules) -> str:
    """How wrong a forecast was."""
    if isinf(one.error):
        return "no share of 0"
    if rules.forecast == "relative":
        return f"{100.0 * one.error:.1f} %"
    return score_text(one.error, rules)


def place_text(place: int | None) -> str:
    return "" if place is None else str(place)


def _digits(rules: Rules) -> int:
    """As many decimals as the resolution has."""
    return max(len(f"{rules.resolution:.6f}".rstrip("0").partition(".")[2]), 0)


def _attempt(values: Values) -> str:
    return f"{values['entry']}, attempt {values['attempt']}"


def _metres(values: Values, name: str) -> str:
    return f"{number(values, name):.2f}{NBSP}m"
