"""One reading and one prediction made by hand, for what the commands say about them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.finding import note, warning
from unspool.model.outcome import Curve, EnergyLedger, Event, EventKind, Prediction
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.types import Reading, Stretch
from unspool.reading.motion.types import Motion

LEDGER = EnergyLedger(
    stored=3.5,
    left_in_weight=0.0,
    drive=0.28,
    catches=0.07,
    landing=None,
    rolling=2.8,
    air=0.14,
    grade=0.21,
    unexplained=0.0,
)
TIME = np.linspace(0.0, 4.0, 81)
SPEED = np.where(TIME < 2.0, TIME, 4.0 - TIME)
DISTANCE = np.where(TIME < 2.0, TIME**2 / 2.0, 4.0 - (4.0 - TIME) ** 2 / 2.0)


def prediction(**changes: object) -> Prediction:
    """A car that gains and loses 1 m/s each second: 4 m in 4 s, 2 m/s at half way."""
    made = Prediction(
        car="Plover",
        starts=True,
        start_margin=3.1,
        distance_m=4.0,
        distance_low_m=3.7,
        distance_high_m=4.4,
        furthest_m=4.0,
        duration_s=4.0,
        peak_speed_m_s=2.0,
        peak_at_m=2.0,
        release_m=2.0,
        events=(
            Event(EventKind.LAUNCH, 0.0, 0.0, 0.0),
            Event(EventKind.RELEASE, 2.0, 2.0, 2.0),
            Event(EventKind.STOP, 4.0, 4.0, 0.0),
        ),
        energy=LEDGER,
        curve=Curve(TIME, DISTANCE, SPEED),
        peak_tension_n=8.0,
        string_margin=9.0,
        traction_margin=2.5,
        tipping_margin=None,
    )
    return replace(made, **changes)


def reading(**changes: object) -> Reading:
    n = len(TIME)
    train = PulseTrain(TIME + 7.0, np.ones(n, np.int8), np.arange(n, dtype=np.int64))
    motion = Motion(
        train=train,
        used=np.arange(n),
        time_s=TIME + 7.0,
        distance_m=DISTANCE,
        speed_m_s=SPEED,
        speed_sd_m_s=np.full(n, 0.01),
        acceleration_m_s2=np.where(TIME < 2.0, 1.0, -1.0),
        acceleration_sd_m_s2=np.full(n, 0.1),
        pitch=np.ones(20),
        launch_s=7.0,
        stop_s=11.0,
        stop_m=4.0,
        furthest_s=11.0,
        furthest_m=4.0,
        ignored=3,
        missing=2,
        chatter=1,
        handled=2,
    )
    made = Reading(
        car="Plover",
        motion=motion,
        prediction=prediction(distance_m=4.2),
        winding=(3.0,),
        distance_m=4.0,
        furthest_m=4.0,
        duration_s=4.0,
        peak_speed_m_s=2.0,
        peak_at_m=2.0,
        events=(
            Event(EventKind.LAUNCH, 7.0, 0.0, 0.0, distance_sd_m=0.0),
            Event(EventKind.RELEASE, 9.0, 2.0, 2.0, 0.01, 0.005, expected_distance_m=2.1),
            Event(EventKind.STOP, 11.0, 4.0, 0.0),
        ),
        findings=(
            note(ReadingCode.CHATTER, edges=1),
            warning(ReadingCode.ROLLBACK, back_m=0.6),
        ),
        energy=LEDGER,
        stretches=(Stretch("tier", "start", 0.0, 2.0, 1.0, 0.01),),
    )
    return replace(made, **changes)
