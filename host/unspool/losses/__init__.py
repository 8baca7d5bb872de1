"""Losses told by runs: calibration, and prediction with what it leaves open."""

from unspool.losses.calibrate import calibrate
from unspool.losses.car_file import losses_toml
from unspool.losses.foretell import likely_distances, predict_with
from unspool.losses.report import calibration_json
from unspool.losses.types import Calibration, CalibrationRun, RunOutcome, Term

__all__ = [
    "Calibration",
    "CalibrationRun",
    "RunOutcome",
    "Term",
    "calibrate",
    "calibration_json",
    "likely_distances",
    "losses_toml",
    "predict_with",
]
