"""A calibration in builder's words, for pages and the command line alike."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from unspool.render.words.units import quantity
from unspool.study.calibration import BreakAway, Calibration, RunOutcome, Term

TERM_HEAD = ("loss", "value", "90 % between", "and", "known")
RUN_HEAD = ("run", "measured", "modelled", "difference", "remark")

# Name, factor, unit and decimals in which builders speak of a term.
_WORDS = {
    "rolling_coefficient": ("rolling coefficient", 1.0, "", 5),
    "constant_drag_n": ("constant drag", 1e3, "mN", 1),
    "drag_area_m2": ("drag area", 1e4, "cm²", 1),
    "drive_efficiency": ("drive efficiency", 100.0, "%", 1),
}


def term_rows(calibration: Calibration) -> list[tuple[str, ...]]:
    """Rows under TERM_HEAD."""
    return [_term_cells(term, calibration.vouched) for term in calibration.terms]


def _term_cells(term: Term, vouched: tuple[str, ...]) -> tuple[str, ...]:
    words, factor, unit, digits = _WORDS[term.name]
    value, low, high = (
        quantity(factor * number, unit, digits) for number in (term.value, term.low, term.high)
    )
    return words, value, low, high, _told(term, vouched)


def _told(term: Term, vouched: tuple[str, ...]) -> str:
    if term.name in vouched:
        return "as the car file states"
    if not term.known:
        return "not told by the runs"
    beside = term.name == "rolling_coefficient" and "constant_drag_n" in vouched
    return "told, given the constant drag" if beside else "told by the runs"


def together(calibration: Calibration) -> str:
    """A sentence with the resistance that is told though its parts are not; empty otherwise."""
    both = calibration.resistance
    if calibration.term("constant_drag_n").known or not both.known:
        return ""
    value, low, high = (
        quantity(1e3 * force, "mN", 1) for force in (both.value, both.low, both.high)
    )
    mass = quantity(both.mass_kg, "kg")
    return f"Rolling and constant drag together, at {mass}: {value}, 90 % between {low} and {high}."


def run_cells(run: RunOutcome) -> tuple[str, ...]:
    """A row under RUN_HEAD; the last cell is empty for a run like the rest."""
    measured, modelled = (quantity(way, "m") for way in (run.measured_m, run.modelled_m))
    miss = quantity(run.measured_m - run.modelled_m, "m")
    return run.name, measured, modelled, miss, _remark(run)


def _remark(run: RunOutcome) -> str:
    if run.left_out is not None:
        return "left out"
    if run.is_bad:
        return "went otherwise than the rest"
    if not run.launch_seen:
        return "begins after the launch"
    return "" if isfinite(run.measured_m) else "ends before the car came to rest"


def break_away_words(told: BreakAway) -> Iterator[str]:
    """Sentences on the resistance at rest."""
    high = f"{told.high:.4f}" if isfinite(told.high) else "an unknown value"
    remark = "" if told.known else ", not told by the runs"
    yield f"Break-away coefficient: between {told.low:.4f} and {high}{remark}."
    if told.contradicts is not None:
        yield f"Two runs contradict each other: {told.contradicts}. Was one pushed?"
    if told.advice is not None:
        yield told.advice


def learnt_words(names: tuple[str, ...]) -> str:
    """Whose losses a prediction takes, in a sentence."""
    return f"losses learned from {', '.join(names)}; intervals are those of one more run"
