"""The codes of what a reading finds. They are part of the formats: none is ever renamed."""

from __future__ import annotations

from enum import StrEnum


class ReadingCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    DID_NOT_START = "did_not_start"
    LAUNCH_NOT_SEEN = "launch_not_seen"
    SLIP_AT_START = "slip_at_start"
    HANDLED = "handled"
    MISSING_EDGES = "missing_edges"
    CHATTER = "chatter"
    COARSE_TIMES = "coarse_times"
    SLOT_COUNT_DOUBTFUL = "slot_count_doubtful"
    DIRECTION_NOT_KNOWN = "direction_not_known"
    TIER_CHANGE_NOT_SEEN = "tier_change_not_seen"
    WEIGHT_LANDED_FIRST = "weight_landed_first"
    EARLY_RELEASE = "early_release"
    RELEASED_LATE = "released_late"
    WINDING_DIFFERS = "winding_differs"
    TIERS_IN_WRONG_ORDER = "tiers_in_wrong_order"
    SLIPPING = "slipping"
    STRING_HELD = "string_held"
    SWAYING = "swaying"
    ENERGY_UNEXPLAINED = "energy_unexplained"
    CUT_SHORT = "cut_short"
    EDGES_LOST_BEFORE = "edges_lost_before"
    ROLLBACK = "rollback"


# A driven wheel turns further than the car goes.
SLIPS = (ReadingCode.SLIP_AT_START, ReadingCode.SLIPPING)
