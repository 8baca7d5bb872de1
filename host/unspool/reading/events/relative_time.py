"""Times counted from the first edge, while a run is read.

A file's clock may count from 1970. A double then resolves 0.24 us, as much as the steps by which
the law's derivatives are taken, and every standard deviation that rests on them is wrong.
"""

from __future__ import annotations

from dataclasses import replace
from math import floor

from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.types import Reading


def origin_of(train: PulseTrain) -> float:
    """Whole seconds, so that taking them off and putting them back rounds as little as can be."""
    return float(floor(train.time_s[0])) if len(train) else 0.0


def since(train: PulseTrain, origin_s: float) -> PulseTrain:
    return replace(train, time_s=train.time_s - origin_s)


def on_its_clock(read: Reading, train: PulseTrain, origin_s: float) -> Reading:
    """The reading of since(train, origin_s), given in the times of the train itself."""
    motion = replace(
        read.motion,
        train=train,
        time_s=read.motion.time_s + origin_s,
        launch_s=read.motion.launch_s + origin_s,
        furthest_s=read.motion.furthest_s + origin_s,
        stop_s=read.motion.stop_s + origin_s,
    )
    events = tuple(replace(event, time_s=event.time_s + origin_s) for event in read.events)
    return replace(read, motion=motion, events=events)
