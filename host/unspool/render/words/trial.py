"""A trial in words: where it should stop, how that compares, and what speaks against it."""

from __future__ import annotations

from math import isfinite

from unspool.finding import Severity
from unspool.model.outcome import Prediction
from unspool.render.words.findings import sentence
from unspool.render.words.plan import LIMIT_NAMES
from unspool.render.words.units import quantity
from unspool.study.plan import Limits
from unspool.study.plan.limits import NAMES

LEAST = 0.005  # m; less is no difference that anybody can read off a tape


def trial_words(run: Prediction, planned_m: float | None) -> str:
    """ "It should stop at 14.30 m (90 % from ... to ...), 0.42 m farther than as planned." """
    if not run.starts:
        return "It does not start."
    if not isfinite(run.distance_m):
        return "Nothing stops it on this track."
    low, high = quantity(run.distance_low_m, "m"), quantity(run.distance_high_m, "m")
    said = f"It should stop at {quantity(run.distance_m, 'm')} (90 % from {low} to {high})"
    return f"{said}{_beside(run.distance_m, planned_m)}."


def _beside(distance_m: float, planned_m: float | None) -> str:
    if planned_m is None:
        return ""
    more = distance_m - planned_m
    if abs(more) < LEAST:
        return ", as planned"
    return f", {quantity(abs(more), 'm')} {'farther' if more > 0.0 else 'shorter'} than as planned"


def against_words(run: Prediction) -> list[str]:
    """Warnings of the prediction, and the usual limits that it breaks."""
    warnings = [sentence(one) for one in run.findings if one.severity is Severity.WARNING]
    usual = Limits()
    broken = [name for name in NAMES if (getattr(run, name) or 1e9) < getattr(usual, name)]
    return [*warnings, *(_limit(name, getattr(run, name), getattr(usual, name)) for name in broken)]


def _limit(name: str, value: float, least: float) -> str:
    return f"The {LIMIT_NAMES[name]} is {quantity(value, '', 2)}: keep at least {least:g}."
