"""Turns that were wound: where they come from, and how few are none."""

from __future__ import annotations

from enum import StrEnum

# Less is a nudge of the wheel and no winding.
LEAST_TURNS = 0.25


class TurnsFrom(StrEnum):
    """Where the turns of a run come from."""

    COUNTED = "counted"  # by the recorder, while the car was wound
    SAID = "said"  # by a person, at the import or in a correction
    PLANNED = "planned"  # nobody counted: the car file's
