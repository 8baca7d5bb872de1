"""The codes of what a calibration finds in runs. They are part of the formats."""

from __future__ import annotations

from enum import StrEnum


class CalibrationCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    # Why a run was left out, or counts in part.
    TOO_FEW_EDGES = "too_few_edges"
    SLOWING_NOT_SEEN = "slowing_not_seen"
    RUN_LEFT_OUT = "run_left_out"
    COAST_ONLY = "coast_only"
    BEGINS_AFTER_LAUNCH = "begins_after_launch"
    STOP_NOT_SEEN = "stop_not_seen"
    RUN_DISAGREES = "run_disagrees"
    ROLLED_BACK = "rolled_back"
    WOUND_OTHERWISE = "wound_otherwise"
    OTHER_WHEELS = "other_wheels"
    OTHER_CAR = "other_car"
    OTHER_WEIGHT = "other_weight"
    UNLIKE_FLOOR = "unlike_floor"
    FLOOR_NOT_SHOWN = "floor_not_shown"
    FLOOR_ONE_WAY = "floor_one_way"
    # What speaks against the car file.
    TAPE_DISAGREES = "tape_disagrees"
    DRIVE_UNUSUAL = "drive_unusual"
    DRIVE_OTHERWISE = "drive_otherwise"
    # What the runs leave open.
    RESISTANCE_TOGETHER = "resistance_together"
    SPEED_DRAG_TOGETHER = "speed_drag_together"
    ONE_MASS = "one_mass"
    CONSTANT_DRAG_OPEN = "constant_drag_open"
    CONSTANT_DRAG_STATED = "constant_drag_stated"
    AIR_DRAG_OPEN = "air_drag_open"
    EFFICIENCY_OPEN = "efficiency_open"
    FEW_RUNS = "few_runs"
    LEVEL_ASSUMED = "level_assumed"
    DRAG_GROWS = "drag_grows"
    # The resistance at rest.
    RESTS_CONTRADICT = "rests_contradict"
    NO_RUN_HELD = "no_run_held"
    BREAK_AWAY_WIDE = "break_away_wide"
    # Which law of resistance a set of coasts obeys.
    CONSTANT_LAW_REJECTED = "constant_law_rejected"
    NO_REPEATS = "no_repeats"
    NO_LAW_FITS = "no_law_fits"
    LAWS_ALIKE = "laws_alike"
    ONE_LAW = "one_law"
    LAW_IMPOSSIBLE = "law_impossible"
