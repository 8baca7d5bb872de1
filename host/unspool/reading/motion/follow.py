"""From the edges of one run to the wheel's motion."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from unspool.car.vehicle import Car
from unspool.reading.edges.noise import USUAL_JITTER_S
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.edges.slot_pattern import pitches, places
from unspool.reading.edges.tick import tick_sd
from unspool.reading.motion.glitches import shortest_interval_s, without_bounces, without_flicker
from unspool.reading.motion.legs import find_legs
from unspool.reading.motion.rest import WITHIN_A_SLOT, Standstill, rest_after, rest_before
from unspool.reading.motion.slot_numbering import MotionLeg
from unspool.reading.motion.smooth import FEWEST_EDGES, Smooth, smooth
from unspool.reading.motion.types import Motion
from unspool.reading.motion.wheel_slip import StringPull

Array = NDArray[np.float64]

# A last leg of fewer edges than this shows no stop of its own.
FEWEST_BACK = 4


def follow(train: PulseTrain, car: Car) -> Motion:
    """The motion that the edges of one run show; never raises on a valid train.

    Distances are those of the encoder's wheel, which rolls without slipping. A train in which no
    edge belongs to a run gives a Motion of no edges.
    """
    bounced = without_bounces(train, shortest_interval_s(train, car))
    candidates = without_flicker(train, bounced)
    legs = find_legs(train, candidates, bounced, car.encoder.pulses_per_turn, StringPull.of(car))
    if not legs:
        return _still(train, car)
    return _motion(train, car, legs, bounced)


def _motion(
    train: PulseTrain, car: Car, legs: list[MotionLeg], bounced: NDArray[np.intp]
) -> Motion:
    used = np.concatenate([leg.edge for leg in legs])
    slot = np.concatenate([leg.slot for leg in legs])
    pulses, metres = car.encoder.pulses_per_turn, car.metres_per_edge
    time_s = train.time_s[used]
    jitter_s = max(USUAL_JITTER_S, tick_sd(train.tick_s))
    curve = _curves(time_s, slot, pulses, legs[0].spun, jitter_s)
    place = places(slot, curve.pattern)
    launch, turn, stop = _rests(time_s, place, legs)
    before = int(np.sum(np.arange(len(train)) < used[0]))
    chatter_before = before - int(np.sum(bounced < used[0]))
    ignored = len(train) - len(used)
    after = train.direction[used[-1] + 1 :]
    flickering = len(after) if abs(int(after.sum())) <= 1 else 0
    handled = before - chatter_before + len(after) - flickering
    return Motion(
        train=train,
        used=used,
        time_s=time_s,
        distance_m=(place - launch.position) * metres,
        speed_m_s=curve.speed * metres,
        speed_sd_m_s=curve.speed_sd * metres,
        acceleration_m_s2=curve.acceleration * metres,
        acceleration_sd_m_s2=curve.acceleration_sd * metres,
        pitch=pitches(curve.pattern),
        launch_s=launch.time_s,
        stop_s=stop.time_s,
        stop_m=(stop.position - launch.position) * metres,
        ignored=ignored,
        missing=_missing(legs),
        chatter=ignored - handled,
        handled=handled,
        slot=slot,
        legs=tuple(len(leg.edge) for leg in legs),
        furthest_s=turn.time_s,
        furthest_m=(turn.position - launch.position) * metres,
        launch_seen=launch.seen and not train.lost_before,
        stop_seen=stop.seen and not train.ending.is_cut,
        uncertain=sum(leg.uncertain for leg in legs),
        jitter_s=curve.jitter_s,
        spun=legs[0].spun,
    )


def _curves(
    time_s: Array, slot: NDArray[np.int64], pulses: int, spun: int, jitter_s: float
) -> Smooth:
    """One curve, or two where a slipping wheel fell to its car's speed; the second's pattern."""
    rolled = _curve(time_s[spun:], slot[spun:], pulses, jitter_s)
    if not spun:
        return rolled
    raced = _curve(time_s[:spun], slot[:spun], pulses, jitter_s)
    return replace(
        rolled,
        position=np.concatenate([raced.position, rolled.position]),
        speed=np.concatenate([raced.speed, rolled.speed]),
        speed_sd=np.concatenate([raced.speed_sd, rolled.speed_sd]),
        acceleration=np.concatenate([raced.acceleration, rolled.acceleration]),
        acceleration_sd=np.concatenate([raced.acceleration_sd, rolled.acceleration_sd]),
    )


def _curve(time_s: Array, slot: NDArray[np.int64], pulses: int, jitter_s: float) -> Smooth:
    if len(slot) >= FEWEST_EDGES and time_s[-1] > time_s[0]:
        return smooth(time_s, slot, pulses, jitter_s)
    n = len(slot)
    moved = n > 1 and time_s[-1] > time_s[0]
    speed = float(abs(slot[-1] - slot[0]) / (time_s[-1] - time_s[0])) if moved else 0.0
    unknown = np.full(n, np.nan)
    return Smooth(
        position=slot.astype(float),
        speed=np.full(n, speed),
        speed_sd=np.full(n, speed),
        acceleration=unknown,
        acceleration_sd=unknown,
        pattern=np.zeros(pulses),
        jitter_s=None,
    )


def _rests(
    time_s: Array, place: Array, legs: list[MotionLeg]
) -> tuple[Standstill, Standstill, Standstill]:
    """The rests at the launch, at the end of the way out and at the end, in slots."""
    first, last = legs[0], legs[-1]
    n, m = len(first.edge), len(last.edge)
    begun = first.spun or n
    launch = rest_before(time_s[:begun], place[:begun], 1, 1.0)
    direction = 1 if len(legs) % 2 else -1
    turn = rest_after(time_s[:n], place[:n], 1, 1.0)
    if len(legs) == 1:
        return launch, turn, turn
    if m < FEWEST_BACK:
        # Somewhere before the next boundary, which it would have shown.
        here = Standstill(
            float(time_s[-1]), float(place[-1]) + 0.5 * direction, WITHIN_A_SLOT, turn.seen
        )
        return launch, turn, here
    return launch, turn, rest_after(time_s[-m:], place[-m:], direction, 1.0)


def _missing(legs: list[MotionLeg]) -> int:
    """Slots passed between a leg's edges that gave no edge."""
    return int(sum(abs(leg.slot[-1] - leg.slot[0]) + 1 - len(leg.slot) for leg in legs))


def _still(train: PulseTrain, car: Car) -> Motion:
    none = np.empty(0)
    at = float(train.time_s[0]) if len(train) else 0.0
    return Motion(
        train=train,
        used=np.empty(0, dtype=np.intp),
        time_s=none,
        distance_m=none,
        speed_m_s=none,
        speed_sd_m_s=none,
        acceleration_m_s2=none,
        acceleration_sd_m_s2=none,
        pitch=np.ones(car.encoder.pulses_per_turn),
        launch_s=at,
        stop_s=at,
        stop_m=0.0,
        furthest_s=at,
        furthest_m=0.0,
        ignored=len(train),
        missing=0,
        chatter=0,
        handled=len(train),
    )
