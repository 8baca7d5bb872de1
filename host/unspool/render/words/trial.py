"""A trial in words: where it should stop, how that compares, and what speaks against it."""

from __future__ import annotations

from math import isfinite

from unspool.finding import Severity
from unspool.language import _, later, localised
from unspool.model.outcome import Prediction
from unspool.render.words.findings import sentence
from unspool.render.words.units import quantity
from unspool.study.plan import Limits
from unspool.study.plan.limits import NAMES

BROKEN = {
    "start_margin": later("The start margin is {value}: keep at least {least}."),
    "traction_margin": later("The traction margin is {value}: keep at least {least}."),
    "tipping_margin": later("The tipping margin is {value}: keep at least {least}."),
    "string_margin": later("The string margin is {value}: keep at least {least}."),
}
LEAST = 0.005  # m; less is no difference that anybody can read off a tape


def trial_words(run: Prediction, planned_m: float | None) -> str:
    """ "It should stop at 14.30 m (90 % from ... to ...), 0.42 m farther than as planned." """
    if not run.starts:
        return _("It does not start.")
    if not isfinite(run.distance_m):
        return _("Nothing stops it on this track.")
    low, high = quantity(run.distance_low_m, "m"), quantity(run.distance_high_m, "m")
    said = {"place": quantity(run.distance_m, "m"), "low": low, "high": high}
    if planned_m is None:
        return _("It should stop at {place} (90 % from {low} to {high}).", **said)
    more = run.distance_m - planned_m
    if abs(more) < LEAST:
        return _("It should stop at {place} (90 % from {low} to {high}), as planned.", **said)
    off = quantity(abs(more), "m")
    if more > 0.0:
        return _(
            "It should stop at {place} (90 % from {low} to {high}), {off} farther than as planned.",
            **said,
            off=off,
        )
    return _(
        "It should stop at {place} (90 % from {low} to {high}), {off} shorter than as planned.",
        **said,
        off=off,
    )


def against_words(run: Prediction) -> list[str]:
    """Warnings of the prediction, and the usual limits that it breaks."""
    warnings = [sentence(one) for one in run.findings if one.severity is Severity.WARNING]
    usual = Limits()
    broken = [name for name in NAMES if (getattr(run, name) or 1e9) < getattr(usual, name)]
    return [*warnings, *(_limit(name, getattr(run, name), getattr(usual, name)) for name in broken)]


def _limit(name: str, value: float, least: float) -> str:
    return _(BROKEN[name], value=quantity(value, "", 2), least=localised(f"{least:g}"))
