"""The codes of a roll-out: its verdict, then what is odd about a push. They are in the formats."""

from __future__ import annotations

from enum import StrEnum


class RollOutCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    AGREES = "agrees"
    WHEEL_DIFFERS = "wheel_differs"
    MISCOUNTED = "miscounted"
    UNCLEAR = "unclear"
    UNEXPLAINED = "unexplained"
    PUSHES_DISAGREE = "pushes_disagree"

    ODD_PUSH = "odd_push"
    MISSING_EDGES = "missing_edges"
    CHATTER = "chatter"
    SLOT_LOST_EACH_TURN = "slot_lost_each_turn"
    BACKWARDS = "backwards"
    ROLLED_TO_MARK = "rolled_to_mark"
    SETTLED = "settled"
    RESTED = "rested"
    WIDE = "wide"
