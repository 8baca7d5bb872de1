"""Codes of what a contest's judges should look at."""

from __future__ import annotations

from enum import StrEnum


class ContestCode(StrEnum):
    TAPE_AND_WHEEL_DIFFER = "contest_tape_and_wheel_differ"
    TWO_TAPES = "contest_two_tapes"
    NO_CLASS = "contest_no_class"
    RUN_OFF_NEEDED = "contest_run_off_needed"
    NOT_MEASURED = "contest_not_measured"
