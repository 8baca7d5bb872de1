"""What the string does, and what ends a segment of a run."""

from __future__ import annotations

from enum import IntEnum


class StringState(IntEnum):
    """Whole numbers, so that many runs keep theirs in one array."""

    TAUT = 0  # drives the car
    SLACK = 1  # the weight falls by itself until the string catches it
    LANDED = 2  # the weight rests, string is still on the drum
    GONE = 3  # off the drum


class SegmentEnd(IntEnum):
    """Why a segment ends where it does. If two happen at one place, the lower number is first."""

    LANDING = 0
    TIER_END = 1  # the next tier, or the release after the last
    LEVEL = 2  # the floor's slope changes
    SPLIT = 3  # nothing happens; the segment was too long for the closed form
    CAUGHT = 4  # the string catches the falling weight
    NEVER = 5  # nothing lies ahead and nothing stops the car
