"""Whether the disc has as many edges a turn as the car file says, from a run's own edges."""

from __future__ import annotations

from unspool.reading.edges.turn_period import Repetition, likelier_number
from unspool.reading.motion.smooth import FEWEST_EDGES, smooth
from unspool.reading.motion.types import Motion


def likelier_pulses(motion: Motion, stated: int) -> int | None:
    """The number of edges a turn that the slots' pattern supports against `stated`, or None."""
    part = slice(motion.spun, motion.way_out)
    slot, time_s = motion.slot[part], motion.time_s[part]
    if len(slot) < FEWEST_EDGES or time_s[-1] <= time_s[0]:
        return None
    even = smooth(time_s, slot, 1).position  # as if all slots were alike
    return likelier_number(Repetition(slot, slot - even), stated)
