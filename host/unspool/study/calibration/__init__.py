"""The loss terms of a car. Readings of its runs come in.

A Calibration goes out, and the interval of a run that is not yet made.
"""

from unspool.study.calibration.break_away import BreakAway, break_away
from unspool.study.calibration.calibrate import calibrate
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.predict_interval import likely_distances, predict_with
from unspool.study.calibration.slope_profile import FloorRun, SlopeProfile, calibrate_with_floor
from unspool.study.calibration.types import Calibration, CalibrationRun, RunOutcome, Term

__all__ = [
    "BreakAway",
    "Calibration",
    "CalibrationCode",
    "CalibrationRun",
    "FloorRun",
    "RunOutcome",
    "SlopeProfile",
    "Term",
    "break_away",
    "calibrate",
    "calibrate_with_floor",
    "likely_distances",
    "predict_with",
]
