"""A calibration as the JSON object that other programs read."""

from __future__ import annotations

from typing import Any

from unspool.model.report import FORMAT, known
from unspool.study.calibration.break_away import BreakAway
from unspool.study.calibration.slope_profile import SlopeProfile
from unspool.study.calibration.types import TERMS, Calibration, Resistance, RunOutcome, Term

Json = dict[str, Any]


def calibration_json(calibration: Calibration) -> Json:
    """The object that `unspool calibrate --json` prints, in SI units."""
    c = calibration
    return {
        "unspool": FORMAT,
        "losses": {term.name: _told(term) for term in c.terms},
        "resistance_n": {**_told(c.resistance), "mass_kg": known(c.resistance.mass_kg)},
        "runs": [_run(run) for run in c.runs],
        "residual_sd_m": known(c.residual_sd_m),
        "run_to_run": known(c.scatter),
        "correlation": {
            one: {other: known(c.correlation[i, j]) for j, other in enumerate(TERMS)}
            for i, one in enumerate(TERMS)
        },
        "advice": list(c.advice),
    }


def _told(told: Term | Resistance | BreakAway) -> Json:
    return {
        "value": known(told.value),
        "low": known(told.low),
        "high": known(told.high),
        "known": told.known,
    }


def _run(run: RunOutcome) -> Json:
    return {
        "run": run.name,
        "measured_m": known(run.measured_m),
        "modelled_m": known(run.modelled_m),
        "odd": known(run.odd),
        "left_out": run.left_out,
    }


def break_away_json(told: BreakAway) -> Json:
    """What `calibrate --break-away --json` adds to the losses."""
    return _told(told)


def floor_json(floor: SlopeProfile) -> Json:
    """What `calibrate --slope --json` adds: the floor as its runs tell it, in SI units."""
    rows = zip(floor.distance_m, floor.height_m, floor.low_m, floor.high_m, strict=True)
    return {
        "mean_slope_known": floor.mean_slope_known,
        "levels": [
            {"distance_m": float(x), "height_m": float(h), "low_m": float(a), "high_m": float(b)}
            for x, h, a, b in rows
        ],
        "left_out": list(floor.left_out),
    }
