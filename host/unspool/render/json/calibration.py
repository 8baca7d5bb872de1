"""A calibration, and what goes with it, as JSON; what is not known is null."""

from __future__ import annotations

from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.words.findings import sentence
from unspool.study.calibration.break_away import BreakAway
from unspool.study.calibration.slope_profile import SlopeProfile
from unspool.study.calibration.types import (
    TERMS,
    Calibration,
    Resistance,
    RunOutcome,
    SpeedDrag,
    Term,
)


def calibration_json(calibration: Calibration) -> Json:
    """The object that `unspool calibrate --json` prints, in SI units."""
    c = calibration
    return {
        "unspool": FORMAT,
        "losses": {term.name: _value(term) for term in c.terms},
        "resistance_n": {**_value(c.resistance), "mass_kg": known(c.resistance.mass_kg)},
        "speed_drag_n": {**_value(c.speed_drag), "speed_m_s": known(c.speed_drag.speed_m_s)},
        "runs": [_run(run) for run in c.runs],
        "residual_sd_m": known(c.residual_sd_m),
        "run_to_run": known(c.scatter),
        "correlation": {
            one: {other: known(c.correlation[i, j]) for j, other in enumerate(TERMS)}
            for i, one in enumerate(TERMS)
        },
        "advice": [sentence(finding) for finding in c.findings],
        "findings": [finding_json(finding) for finding in c.findings],
    }


def _value(of: Term | Resistance | SpeedDrag | BreakAway) -> Json:
    return {
        "value": known(of.value),
        "low": known(of.low),
        "high": known(of.high),
        "known": of.known,
    }


def _run(run: RunOutcome) -> Json:
    return {
        "run": run.name,
        "measured_m": known(run.measured_m),
        "modelled_m": known(run.modelled_m),
        "odd": known(run.odd),
        "left_out": sentence(run.left_out) if run.left_out else None,
        "without_drive": sentence(run.without_drive) if run.without_drive else None,
        "turns": [known(turns) for turns in run.turns],
        "turns_sd": [known(sd) for sd in run.turns_sd],
    }


def break_away_json(rest: BreakAway) -> Json:
    """What `calibrate --break-away --json` adds to the losses."""
    found = rest.finding
    return {**_value(rest), "findings": [finding_json(found)] if found else []}


def floor_json(floor: SlopeProfile) -> Json:
    """What `calibrate --slope --json` adds: the floor that its runs show, in SI units."""
    rows = zip(floor.distance_m, floor.height_m, floor.low_m, floor.high_m, strict=True)
    return {
        "mean_slope_known": floor.mean_slope_known,
        "shown": floor.shown,
        "levels": [
            {"distance_m": float(x), "height_m": float(h), "low_m": float(a), "high_m": float(b)}
            for x, h, a, b in rows
        ],
        "left_out": list(floor.left_out),
        "findings": [finding_json(finding) for finding in floor.findings],
    }
