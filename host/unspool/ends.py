"""Ends: what the place is that the edges of a run end at."""

from __future__ import annotations

from enum import StrEnum


class Ends(StrEnum):
    """What the distance of a run is."""

    DISTANCE = "distance"
    CUT_OFF = "cut_off"  # where the edges end: the car still rolled
    FIRST_LOST = "first_lost"  # the way after the first edge that is known
    UNKNOWN = "unknown"  # the run could not be read
