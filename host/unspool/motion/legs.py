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
from unspool.motion.rest import rest_after, rest_before
from unspool.motion.slip import Pull, find_slip
from unspool.pulses.train import PulseTrain

# A car that has to think longer than this about rolling back has been turned by hand.
LONGEST_TURN_S = 10.0
# A leg without directions: fewer edges than this could be anything.
FEWEST_UNTOLD = 8
FEWEST_TOLD = 5
UNSEEN_REST_S = 2.5
SOONEST_BACK_S = 0.15
NEAR_REST_EDGES = 10
SAME_REST_S, SAME_REST_SHARE = 0.1, 0.3


def find_legs(
    train: PulseTrain,
    edges: NDArray[np.intp],
    doubtful: NDArray[np.intp],
    pulses: int,
    pull: Pull,
) -> list[Leg]:
    """The legs of the run, the way out first; empty when no edge is forward.

    edges: candidates, in time order; doubtful: these and those put aside as flicker; pull: what
    the string can give. Slots are
    numbered on from leg to leg: a boundary passed again on the way back has the number it had on
    the way out. Where no edge at all is backward the sensor may not tell directions: then a leg
    that sets off from the very rest of the one before is taken for its way back.
    """
    lost = train.number - train.number[0] - np.arange(len(train)) if len(train) else train.number
    runs = _same_direction(train, edges)
    out = _way_out(train, runs, pulses)
    if out is None:
        return []
    forward = doubtful[train.direction[doubtful] > 0]
    legs = [_first_leg(train, lost, runs[out], forward, pull)]
    for run in runs[out + 1 :]:
        leg = _way_back(train, lost, legs[-1], run)
        if leg is None:
            break
        legs.append(leg)
    if len(legs) == 1 and not np.any(train.direction < 0):
        legs += _untold_ways_back(train, lost, doubtful, legs[0])
    return legs


def _first_leg(
    train: PulseTrain,
    lost: NDArray[np.int64],
    run: NDArray[np.intp],
    doubtful: NDArray[np.intp],
    pull: Pull,
) -> Leg:
    """The way out; what a slipping wheel made is counted, each edge a slot, and not numbered."""
    slip = find_slip(train.time_s[run], pull)
    if slip is None:
        return number_leg(train.time_s, lost, run, doubtful)
    leg = number_leg(train.time_s, lost, run[slip.gripped :])
    spun = run[slip.first : slip.gripped]
    edge = np.concatenate([spun, leg.edge])
    until = edge[: len(spun) + 1]
    counted = np.cumsum(np.diff(np.searchsorted(run, until) + lost[until]))
    slot = np.concatenate([[0], counted[:-1], counted[-1] + leg.slot])
    return Leg(edge, slot.astype(np.int64), leg.uncertain, len(spun))


def _untold_ways_back(
    train: PulseTrain, lost: NDArray[np.int64], edges: NDArray[np.intp], out: Leg
) -> list[Leg]:
    """Legs after the way out in a train without directions, each from the rest of the last."""
    legs = [out]
    while True:
        before, sense = legs[-1], -1 if len(legs) % 2 else 1
        run = edges[edges > before.edge[-1]]
        if len(run) < FEWEST_UNTOLD:
            break
        leg = number_leg(train.time_s, lost, run)
        if leg.edge[0] != run[0] or not _sets_off_at_once(train, before, leg, -sense):
            break
        legs.append(Leg(leg.edge, before.slot[-1] + sense * leg.slot, leg.uncertain))
    return legs[1:]


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
    wait = float(train.time_s[run[0]] - train.time_s[before.edge[-1]])
    if wait > LONGEST_TURN_S or (len(run) == 1 and _flickers(train, before, run)):
        return None
    leg = number_leg(train.time_s, lost, run, steady=True)
    step = int(train.direction[run[0]])
    if len(leg.edge) >= FEWEST_TOLD and _rested(train, before, leg, -step):
        return None
    return Leg(leg.edge, before.slot[-1] + step * leg.slot, leg.uncertain)


def _flickers(train: PulseTrain, before: Leg, run: NDArray[np.intp]) -> bool:
    """Whether a single edge back is the sensor's flicker at the stop: no wheel turns so soon."""
    n = min(len(before.edge), NEAR_REST_EDGES)
    sense = -int(train.direction[run[0]])
    time_s = train.time_s[before.edge[-n:]]
    stop = rest_after(time_s, before.slot[-n:].astype(float), sense, 1.0)
    return float(train.time_s[run[0]]) - stop.time_s < SOONEST_BACK_S


def _wait_between(
    train: PulseTrain, before: Leg, leg: Leg, sense: int
) -> tuple[float, float] | None:
    """Seconds from the rest that ends a leg to the one that starts the next, and their slack.

    None where the edges show no rest. sense: in which the leg before rolled.
    """
    n = min(len(before.edge), len(leg.edge), NEAR_REST_EDGES)
    down, up = train.time_s[before.edge[-n:]], train.time_s[leg.edge[:n]]
    stop = rest_after(down, before.slot[-n:].astype(float), sense, 1.0)
    start = rest_before(up, -sense * np.abs(leg.slot[:n]).astype(float), -sense, 1.0)
    if not (stop.seen and start.seen):
        return None
    slack = SAME_REST_S + SAME_REST_SHARE * float(up[0] - down[-1])
    return abs(start.time_s - stop.time_s), slack


def _sets_off_at_once(train: PulseTrain, before: Leg, leg: Leg, sense: int) -> bool:
    """Whether a leg starts at the very rest of the one before, and more gently than that stopped.

    Friction works against both: what brings a car back is weaker than what stopped it.
    """
    wait = _wait_between(train, before, leg, sense)
    if wait is None or wait[0] > wait[1]:
        return False
    n = min(len(before.edge), len(leg.edge), NEAR_REST_EDGES)
    took = train.time_s[leg.edge[n - 1]] - train.time_s[leg.edge[0]]
    stopping = train.time_s[before.edge[-1]] - train.time_s[before.edge[-n]]
    return bool(took > 0.9 * stopping)


def _rested(train: PulseTrain, before: Leg, leg: Leg, sense: int) -> bool:
    """Whether the wheel stood a while between two legs that the sensor tells apart."""
    gap = float(train.time_s[leg.edge[0]] - train.time_s[before.edge[-1]])
    wait = _wait_between(train, before, leg, sense)
    if wait is None:
        return gap > UNSEEN_REST_S
    return wait[0] > wait[1] + 0.2 * gap + 0.3
