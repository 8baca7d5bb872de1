"""Losses told by runs: calibration, and prediction with what it leaves open."""

from unspool.losses.break_away import BreakAway, break_away
from unspool.losses.calibrate import calibrate
from unspool.losses.car_file import losses_toml
from unspool.losses.floor import FloorRun, SlopeProfile, slope_profile
from unspool.losses.foretell import likely_distances, predict_with
from unspool.losses.report import break_away_json, calibration_json, floor_json
from unspool.losses.types import Calibration, CalibrationRun, RunOutcome, Term

__all__ = [
    "BreakAway",
    "Calibration",
    "CalibrationRun",
    "FloorRun",
    "RunOutcome",
    "SlopeProfile",
    "Term",
    "break_away",
    "break_away_json",
    "calibrate",
    "calibration_json",
    "floor_json",
    "likely_distances",
    "losses_toml",
    "predict_with",
    "slope_profile",
]
