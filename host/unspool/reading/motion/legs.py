"""Legs: the run's way out, and its ways back, separated from what a hand did before and after.

The run is the forward leg with the fastest turn in it. What comes before it in time is a hand's
doing: winding, placing, a nudge. What comes after belongs to the run only while the wheel never
rests. A car that a slope stops rolls back at once. So the leg back starts at the last slot's
boundary that was passed, within the time that a gentle slope needs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.motion.rest import rest_after, rest_before
from unspool.reading.motion.reversal import turning_points
from unspool.reading.motion.slot_numbering import MotionLeg, number_leg
from unspool.reading.motion.wheel_slip import StringPull, find_slip

# A car that has to think longer than this about rolling back has been turned by hand.
LONGEST_TURN_S = 10.0
# A leg without directions: fewer edges than this could be anything.
FEWEST_UNTOLD = 8
# Fewer edges show no rest: its parabola has three numbers and needs some to judge it by.
FEWEST_TOLD = 5
UNSEEN_REST_S = 2.5  # if no parabola shows the rest: after a longer gap a hand has moved the car
SOONEST_BACK_S = 0.15  # a lone edge sooner after the stop is flicker
NEAR_REST_EDGES = 10  # as many as the longest parabola that finds a rest
# A swing in a dip over the one before.
USUAL_SWING, SHORTEST_SWING, LONGEST_SWING = 0.6, 0.3, 0.95
# How far apart two parabolas may put one rest: in time, and as a share of the gap between them.
SAME_REST_S, SAME_REST_SHARE = 0.1, 0.3


def find_legs(
    train: PulseTrain,
    edges: NDArray[np.intp],
    doubtful: NDArray[np.intp],
    pulses: int,
    pull: StringPull,
) -> list[MotionLeg]:
    """The legs of the run, the way out first; empty when no edge is forward.

    edges: candidates, in time order; doubtful: these and those put aside as flicker; pull: what the
    string can give. Slots are numbered on from leg to leg: a boundary passed again on the way back
    has the number it had on the way out. If no edge at all is backward, the sensor may not show
    directions. Then legs part where the wheel shows that it turned. A leg that sets off from the
    very rest of the one before is taken for its way back.
    """
    lost = train.number - train.number[0] - np.arange(len(train)) if len(train) else train.number
    untold = not np.any(train.direction < 0)
    runs = _between_turns(train, edges) if untold else _same_direction(train, edges)
    out = _way_out(train, runs, pulses)
    if out is None:
        return []
    forward = doubtful[train.direction[doubtful] > 0]
    legs = [_first_leg(train, lost, runs[out], forward, pull)]
    if untold:
        return _untold_ways_back(train, lost, doubtful, legs, runs[out + 1 :])
    for run in runs[out + 1 :]:
        leg = _way_back(train, lost, legs[-1], run)
        if leg is None:
            break
        legs.append(leg)
    return legs


def _first_leg(
    train: PulseTrain,
    lost: NDArray[np.int64],
    run: NDArray[np.intp],
    doubtful: NDArray[np.intp],
    pull: StringPull,
) -> MotionLeg:
    """The way out; what a slipping wheel made is counted, each edge a slot, and not numbered."""
    slip = find_slip(train.time_s[run], pull, train.tick_s)
    if slip is None:
        return number_leg(train.time_s, lost, run, doubtful, tick_s=train.tick_s)
    leg = number_leg(train.time_s, lost, run[slip.gripped :], tick_s=train.tick_s)
    spun = run[slip.first : slip.gripped]
    edge = np.concatenate([spun, leg.edge])
    until = edge[: len(spun) + 1]
    counted = np.cumsum(np.diff(np.searchsorted(run, until) + lost[until]))
    slot = np.concatenate([[0], counted[:-1], counted[-1] + leg.slot])
    return MotionLeg(edge, slot.astype(np.int64), leg.uncertain, len(spun))


def _untold_ways_back(
    train: PulseTrain,
    lost: NDArray[np.int64],
    edges: NDArray[np.intp],
    out: list[MotionLeg],
    runs: list[NDArray[np.intp]],
) -> list[MotionLeg]:
    """The legs of a train without directions: the way out, one for each run between turns, and what
    sets off from the rest of the last.
    """
    legs = list(out)
    for run in _with_last_swings(_with_missed_turns(train, runs)):
        legs.append(
            _turned(number_leg(train.time_s, lost, run, steady=True, tick_s=train.tick_s), legs)
        )
    while True:
        run = edges[edges > legs[-1].edge[-1]]
        if len(run) < FEWEST_UNTOLD:
            return legs
        leg = number_leg(train.time_s, lost, run, tick_s=train.tick_s)
        sense = 1 if len(legs) % 2 else -1
        if leg.edge[0] != run[0] or not _sets_off_at_once(train, legs[-1], leg, sense):
            return legs
        legs.append(_turned(leg, legs))


def _with_missed_turns(train: PulseTrain, runs: list[NDArray[np.intp]]) -> list[NDArray[np.intp]]:
    """Runs between turns, parted where one is longer than the one before, as no swing can be.

    Two swings are in it, the first the longer one; it turned where it was slowest about there.
    """
    parted = list(runs[:1])
    for run in runs[1:-1]:
        if len(run) <= len(parted[-1]) + 1:
            parted.append(run)
            continue
        first, last = len(run) // 2, max(int(len(run) / (1.0 + SHORTEST_SWING)), len(run) // 2 + 1)
        time_s = train.time_s[run]
        span = time_s[first + 2 : last + 2] - time_s[first - 1 : last - 1]
        parted += np.split(run, [first + int(np.argmax(span)) + 1])
    return [*parted, *runs[1:][-1:]]


def _with_last_swings(runs: list[NDArray[np.intp]]) -> list[NDArray[np.intp]]:
    """Runs between turns, the last one parted where it holds swings too short to show their turns.

    Each swing in a dip is shorter than the one before. The last two that showed give a ratio, and
    it is taken to go on, so that all that follow add up to the edges that are left.
    """
    if len(runs) < 2:
        return runs
    *whole, rest = runs
    last = len(whole[-1])
    ratio = len(whole[-1]) / len(whole[-2]) if len(whole) > 1 else USUAL_SWING
    ratio = min(max(ratio, SHORTEST_SWING), LONGEST_SWING)
    if len(rest) <= 1 + (1.1 * ratio * last if len(whole) > 1 else last):
        return runs
    swing, swings = len(rest) * (1.0 - ratio), []
    while len(rest):
        n = max(round(swing), 1)
        swings.append(rest[:n])
        rest, swing = rest[n:], swing * ratio
    return [*whole, *swings]


def _turned(leg: MotionLeg, legs: list[MotionLeg]) -> MotionLeg:
    """A leg numbered on from the last of those before it, the other way round."""
    sense = -1 if len(legs) % 2 else 1
    return MotionLeg(leg.edge, legs[-1].slot[-1] + sense * leg.slot, leg.uncertain)


def _between_turns(train: PulseTrain, edges: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    if not len(edges):
        return []
    turns = turning_points(train.time_s[edges])
    return list(np.split(edges, [k + 1 for k in turns]))


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
    train: PulseTrain, lost: NDArray[np.int64], before: MotionLeg, run: NDArray[np.intp]
) -> MotionLeg | None:
    """The leg that follows `before` in the other direction, or None when it is a hand's doing."""
    wait = float(train.time_s[run[0]] - train.time_s[before.edge[-1]])
    if wait > LONGEST_TURN_S or (len(run) == 1 and _flickers(train, before, run)):
        return None
    leg = number_leg(train.time_s, lost, run, steady=True, tick_s=train.tick_s)
    step = int(train.direction[run[0]])
    if len(leg.edge) >= FEWEST_TOLD and _rested(train, before, leg, -step):
        return None
    return MotionLeg(leg.edge, before.slot[-1] + step * leg.slot, leg.uncertain)


def _flickers(train: PulseTrain, before: MotionLeg, run: NDArray[np.intp]) -> bool:
    """Whether a single edge back is the sensor's flicker at the stop: no wheel turns so soon."""
    n = min(len(before.edge), NEAR_REST_EDGES)
    sense = -int(train.direction[run[0]])
    time_s = train.time_s[before.edge[-n:]]
    stop = rest_after(time_s, before.slot[-n:].astype(float), sense, 1.0)
    return float(train.time_s[run[0]]) - stop.time_s < SOONEST_BACK_S


def _wait_between(
    train: PulseTrain, before: MotionLeg, leg: MotionLeg, sense: int
) -> tuple[float, float] | None:
    """Seconds from the rest that ends a leg to the one that starts the next, and their slack.

    None if the edges show no rest. sense: in which the leg before rolled.
    """
    n = min(len(before.edge), len(leg.edge), NEAR_REST_EDGES)
    down, up = train.time_s[before.edge[-n:]], train.time_s[leg.edge[:n]]
    stop = rest_after(down, before.slot[-n:].astype(float), sense, 1.0)
    start = rest_before(up, -sense * np.abs(leg.slot[:n]).astype(float), -sense, 1.0)
    if not (stop.seen and start.seen):
        return None
    slack = SAME_REST_S + SAME_REST_SHARE * float(up[0] - down[-1])
    return abs(start.time_s - stop.time_s), slack


def _sets_off_at_once(train: PulseTrain, before: MotionLeg, leg: MotionLeg, sense: int) -> bool:
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


def _rested(train: PulseTrain, before: MotionLeg, leg: MotionLeg, sense: int) -> bool:
    """Whether the wheel stood a while between two legs that the sensor separates."""
    gap = float(train.time_s[leg.edge[0]] - train.time_s[before.edge[-1]])
    wait = _wait_between(train, before, leg, sense)
    if wait is None:
        return gap > UNSEEN_REST_S
    return wait[0] > wait[1] + 0.2 * gap + 0.3
