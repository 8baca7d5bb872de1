"""A wheel with one sensor: its edges have no direction, so winding looks like running.

Every edge counts as forward. A run then begins by its pattern: from rest, the second turn takes
clearly less than the first, and the third less than the second. Or somebody says that the car is
let go next. A hand that winds may fall into that pattern. But the wheel that the string drives
turns as often while it unwinds as it was wound, and then the car coasts. So what turned no further
than the drum takes is no run.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.instrument.wire.decoded import Decoded, EdgeBatch

# The second turn's time against the first one's, both from the first edge on. An even pull gives
# 0.4 to 0.7 with any number of edges a turn, and an even hand 1.
SECOND_FASTER = 0.75
MORE_THAN_WOUND = 1.2  # times the planned turns, and
BESIDES = 1.0  # turns more for edges at both ends: what a run rolls at least
FEWEST_TURNS = 3.0  # if no plan is known: the pattern takes as many


def as_seen_by(sensors: int, item: Decoded) -> Decoded:
    """What the board says, with edges that mean nothing by their direction taken as forward."""
    if sensors > 1 or not isinstance(item, EdgeBatch):
        return item
    return replace(item, direction=np.ones_like(item.direction))


def least_turns(planned_turns: float | None) -> float:
    """The turns that a run rolls at least."""
    return FEWEST_TURNS if planned_turns is None else MORE_THAN_WOUND * planned_turns + BESIDES


def sets_off(reached: list[int], turn: int) -> bool:
    """Whether the first two turns set off as a pulled car does.

    reached: when the wheel was 0, 1, 2 ... edges ahead; turn: edges of one.
    """
    if reached[2] == reached[1]:
        return True  # the rest was seen to end after the first edge, which hides the first turn
    first = max(turn, 2)
    begun = (reached[first] - reached[1]) * turn / (first - 1)
    return reached[first + turn] - reached[first] < SECOND_FASTER * begun
