"""Sensor chatter: edges too close together to be slots, and pairs that cancel.

Two rules, both on what a wheel cannot do:
- No slot passes in less than a fraction of the time it takes at the highest speed that the weight's
  energy allows, v_max = sqrt(2 m g h / M). Edges closer than that are one edge that bounced.
- One edge backward between forward ones crosses the same boundary twice: the sensor stands on a
  slot's rim and flickers, or the wheel rocks. It cancels against the nearer of its neighbours.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.vehicle import Car
from unspool.reading.edges.pulse_train import PulseTrain

# A slope may add to the weight's energy and hand-cut slots may be half as wide as the mean.
SPEED_RESERVE = 1.5
NARROWEST_SLOT = 0.35
ROUNDED = 1.01  # ticks, for the rounding of the numbers themselves


def shortest_interval_s(train: PulseTrain, car: Car) -> float:
    """The shortest time between two edges that a rolling wheel can give."""
    energy = car.weight_mass_kg * STANDARD_GRAVITY * car.drop_m
    speed = SPEED_RESERVE * sqrt(2.0 * energy / car.total_mass_kg)
    bound = NARROWEST_SLOT * car.metres_per_edge / speed
    intervals = np.diff(train.time_s)
    if len(intervals) >= 8 and np.mean(intervals < bound) > 0.4:
        # Not this car, or pushed: then the run itself says how fast its slots pass.
        bound = min(bound, NARROWEST_SLOT * float(np.percentile(intervals, 40)))
    return bound


def without_bounces(train: PulseTrain, shortest_s: float) -> NDArray[np.intp]:
    """Indices of the edges left when each burst is reduced to the one step that it nets, if any."""
    if len(train) == 0:
        return np.empty(0, dtype=np.intp)
    # Rounded times may be a tick closer than the edges were.
    starts = np.flatnonzero(
        np.r_[True, np.diff(train.time_s) >= shortest_s - ROUNDED * train.tick_s]
    )
    net = np.add.reduceat(train.direction.astype(np.int64), starts)
    sizes = np.diff(np.r_[starts, len(train)])
    single = starts[sizes == 1]
    firsts = [
        start + int(np.argmax(train.direction[start : start + size] == np.sign(step)))
        for start, size, step in zip(starts, sizes, net, strict=True)
        if size > 1 and step
    ]
    return np.sort(np.r_[single, np.array(firsts, dtype=np.intp)]).astype(np.intp)


def without_flicker(train: PulseTrain, kept: NDArray[np.intp]) -> NDArray[np.intp]:
    """Indices left when each lone edge against the run of its neighbours is cancelled."""
    if len(set(train.direction[kept].tolist())) < 2:
        return kept
    time_s, direction = train.time_s.tolist(), train.direction.tolist()
    stack: list[int] = []
    for edge in kept.tolist():
        if len(stack) < 2 or not _lone(direction[stack[-2]], direction[stack[-1]], direction[edge]):
            stack.append(edge)
            continue
        before, against = stack[-2:]
        del stack[-1]
        if time_s[against] - time_s[before] < time_s[edge] - time_s[against]:
            stack[-1] = edge  # rocked before it was passed for good
    return np.array(stack, dtype=np.intp)


def _lone(before: int, against: int, after: int) -> bool:
    return before == after != against
