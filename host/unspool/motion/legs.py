"""Legs: the run's way out, and its ways back, told from what a hand did before and after.

The run is the forward leg with the fastest turn in it. What comes before it in time is a hand's
doing: winding, placing, a nudge. What comes after belongs to the run only while the wheel never
rests: a car that a slope stops rolls back at once, so the leg back starts at the last slot's
boundary that was passed, within the time that a gentle slope needs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.motion.bridge import Leg, number_leg
from unspool.pulses.train import PulseTrain

# A car that has to think longer than this about rolling back has been turned by hand.
LONGEST_TURN_S = 10.0


def find_legs(
    train: PulseTrain, edges: NDArray[np.intp], doubtful: NDArray[np.intp], pulses: int
) -> list[Leg]:
    """The legs of the run, the way out first; empty when no edge is forward.

    edges: candidates, in time order; doubtful: these and those put aside as flicker. Slots are
    numbered on from leg to leg: a boundary passed again on the way back has the number it had on
    the way out.
    """
    lost = train.number - train.number[0] - np.arange(len(train)) if len(train) else train.number
    runs = _same_direction(train, edges)
    out = _way_out(train, runs, pulses)
    if out is None:
        return []
    forward = doubtful[train.direction[doubtful] > 0]
    legs = [number_leg(train.time_s, lost, runs[out], forward)]
    for run in runs[out + 1 :]:
        leg = _way_back(train, lost, legs[-1], run)
        if leg is None:
            break
        legs.append(leg)
    return legs


def _same_direction(train: PulseTrain, edges: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    if not len(edges):
        return []
    turns = np.flatnonzero(np.diff(train.direction[edges])) + 1
    return list(np.split(edges, turns))


def _way_out(train: PulseTrain, runs: list[NDArray[np.intp]], pulses: int) -> int | None:
    """Which run of edges is the way out: the fastest over a turn, or over what there is of one."""
    best, fastest = None, 0.0
    for i, run in enumerate(runs):
        if train.direction[run[0]] < 0:
            continue
        t = train.time_s[run]
        span = min(pulses, max(1, len(t) // 2), len(t) - 1)
        speed = span / max(float((t[span:] - t[:-span]).min()), 1e-9) if span else 0.0
        # A short burst may be fast; a run is fast for long.
        worth = speed * min(1.0, len(t) / pulses)
        if best is None or worth > fastest:
            best, fastest = i, worth
    return best


def _way_back(
    train: PulseTrain, lost: NDArray[np.int64], before: Leg, run: NDArray[np.intp]
) -> Leg | None:
    """The leg that follows `before` in the other direction, or None when it is a hand's doing."""
    if len(run) < 2 or train.time_s[run[0]] - train.time_s[before.edge[-1]] > LONGEST_TURN_S:
        return None
    leg = number_leg(train.time_s, lost, run)
    step = int(train.direction[run[0]])
    return Leg(leg.edge, before.slot[-1] + step * leg.slot, leg.uncertain)
