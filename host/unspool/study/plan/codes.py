"""The codes of what a plan finds. They are part of the formats: none is ever renamed."""

from __future__ import annotations

from enum import StrEnum


class PlanCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    FINER_TURNS = "finer_turns"
    MARK_MISSED = "mark_missed"
    TRACTION_NOT_KNOWN = "traction_not_known"
    STRING_STRENGTH_NOT_KNOWN = "string_strength_not_known"
    TAPER_ASSUMED = "taper_assumed"
