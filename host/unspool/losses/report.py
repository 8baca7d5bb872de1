"""A calibration as the JSON object that other programs read."""

from __future__ import annotations

from typing import Any

from unspool.losses.types import TERMS, Calibration, Resistance, RunOutcome, Term
from unspool.model.report import FORMAT, known

Json = dict[str, Any]


def calibration_json(calibration: Calibration) -> Json:
    """The object that `unspool calibrate --json` prints, in SI units."""
    c = calibration
    return {
        "unspool": FORMAT,
        "losses": {term.name: _term(term) for term in c.terms},
        "resistance_n": _resistance(c.resistance),
        "runs": [_run(run) for run in c.runs],
        "residual_sd_m": known(c.residual_sd_m),
        "run_to_run": known(c.scatter),
        "correlation": {
            one: {other: known(c.correlation[i, j]) for j, other in enumerate(TERMS)}
            for i, one in enumerate(TERMS)
        },
        "advice": list(c.advice),
    }


def _term(term: Term) -> Json:
    return {
        "value": known(term.value),
        "low": known(term.low),
        "high": known(term.high),
        "known": term.known,
    }


def _resistance(resistance: Resistance) -> Json:
    return {
        "value": known(resistance.value),
        "low": known(resistance.low),
        "high": known(resistance.high),
        "mass_kg": known(resistance.mass_kg),
        "known": resistance.known,
    }


def _run(run: RunOutcome) -> Json:
    return {
        "run": run.name,
        "measured_m": known(run.measured_m),
        "modelled_m": known(run.modelled_m),
        "odd": known(run.odd),
        "left_out": run.left_out,
    }
