"""Losses as rows of words, for pages and the command line alike."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from unspool.language import _, later
from unspool.render.words.findings import sentence
from unspool.render.words.losses_pictured import pictured
from unspool.render.words.units import EN_DASH, UNKNOWN, quantity
from unspool.study.calibration import BreakAway, Calibration, RunOutcome, Term
from unspool.study.calibration.types import LINEAR, TERMS

TERM_HEAD = (
    *(later("loss"), later("value"), later("90 % between")),
    *(later("and"), later("is like"), later("known")),
)
RUN_HEAD = (
    *(later("attempt"), later("measured"), later("modelled")),
    *(later("difference"), later("remark")),
)

# Plain name with the textbook's, factor, unit, and decimals of the value.
_WORDS = {
    "rolling_coefficient": (later("rolling (rolling coefficient)"), 1.0, "", 4),
    "constant_drag_n": (later("rubbing parts (constant drag)"), 1.0, "N", 4),
    "linear_drag_n_s_per_m": (
        later("drag that grows with speed (linear drag)"), 1.0, "N s/m", 4,
    ),
    "drag_area_m2": (later("air (drag area)"), 1e4, "cm²", 0),
    "drive_efficiency": (later("drive (efficiency)"), 100.0, "%", 1),
}  # fmt: skip


def term_rows(calibration: Calibration) -> list[tuple[str, ...]]:
    """Rows under TERM_HEAD: no linear drag unless the runs or the car file show one."""
    vouched = calibration.vouched
    return [
        _term_cells(term, vouched)
        for term in calibration.terms
        if term.known or term.name in vouched or term.name != TERMS[LINEAR]
    ]


def _term_cells(term: Term, vouched: tuple[str, ...]) -> tuple[str, ...]:
    words, factor, unit, digits = _WORDS[term.name]
    value, low, high = (
        quantity(factor * number, unit, digits) for number in (term.value, term.low, term.high)
    )
    like = pictured(term.name, term.value)
    if not term.known and term.name not in vouched:
        value, like = _(UNKNOWN), EN_DASH
    return _(words), value, low, high, like, _origin(term, vouched)


def _origin(term: Term, vouched: tuple[str, ...]) -> str:
    """What the value rests on: the runs, the car file, or neither."""
    if term.name in vouched:
        return _("from the car file")
    if not term.known:
        return _("not known from these attempts")
    beside = term.name == "rolling_coefficient" and "constant_drag_n" in vouched
    if beside:
        return _("from the attempts, given the constant drag")
    return _("from the attempts")


def run_cells(run: RunOutcome) -> tuple[str, ...]:
    """A row under RUN_HEAD; the last cell is empty if the run agrees with the rest."""
    measured, modelled = (quantity(way, "m") for way in (run.measured_m, run.modelled_m))
    miss = quantity(run.miss_m, "m")
    return run.name, measured, modelled, miss, _remark(run)


def _remark(run: RunOutcome) -> str:
    if run.left_out is not None:
        return _("left out")
    if run.is_bad:
        return _("disagrees with the rest")
    if run.without_drive is not None:
        return _("only its coast is used")
    return _("ends before the car came to rest") if run.measured_m is None else ""


def break_away_words(rest: BreakAway) -> Iterator[str]:
    """Sentences on the resistance at rest."""
    high = quantity(rest.high, "", 4) if isfinite(rest.high) else "an unknown value"
    yield f"Break-away coefficient: between {quantity(rest.low, '', 4)} and {high}."
    if not rest.known:
        yield "These attempts do not determine the break-away coefficient."
    if rest.finding is not None:
        yield sentence(rest.finding)


def learnt_words(names: tuple[str, ...]) -> str:
    """Whose losses a prediction takes, in a sentence."""
    return f"losses learned from {', '.join(names)}; intervals are those of one more attempt"
