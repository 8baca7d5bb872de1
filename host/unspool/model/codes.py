"""The codes of what a prediction finds. They are part of the formats: none is ever renamed."""

from __future__ import annotations

from enum import StrEnum


class PredictionCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    DOES_NOT_START = "does_not_start"
    MAY_NOT_START = "may_not_start"
    STOPS_ON_TIER = "stops_on_tier"
    NEVER_STOPS = "never_stops"
    ROLLS_BACK = "rolls_back"
    LARGER_TIER = "larger_tier"
    TAPER_OUTRUNS_WEIGHT = "taper_outruns_weight"
    WHEELS_SLIP = "wheels_slip"
    TIPS_BACK = "tips_back"
    STRING_MAY_BREAK = "string_may_break"
    STRING_MARGIN_LOW = "string_margin_low"
    STRING_TOO_LONG = "string_too_long"
    WEIGHT_LANDS_FIRST = "weight_lands_first"
    DROP_NOT_USED = "drop_not_used"
    BREAK_AWAY_BELOW_ROLLING = "break_away_below_rolling"
    AIR_DRAG_LEFT_OUT = "air_drag_left_out"
    HANDBOOK_LOSSES = "handbook_losses"
