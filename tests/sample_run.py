"""A small car, its expected run and a reading, made of constant accelerations; figures invented.

No part of the package makes these, so that pages and pictures are tested against known numbers.
0.5 m/s2 to 1.36 m, 0.2 m/s2 to 3.43 m, then -0.12 m/s2 until standstill.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.car.vehicle import Car, Encoder, Losses, Tier, Wheel
from unspool.finding import warning
from unspool.model.outcome import Curve, EnergyLedger, Event, EventKind, Prediction
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.types import Reading, Stretch
from unspool.reading.motion.types import Motion

CHANGE_M, RELEASE_M = 1.36, 3.43
ACCELERATIONS = (0.5, 0.2, -0.12)
CHANGE_V2 = 2 * 0.5 * CHANGE_M
RELEASE_V2 = CHANGE_V2 + 2 * 0.2 * (RELEASE_M - CHANGE_M)
STOP_M = RELEASE_M + RELEASE_V2 / (2 * 0.12)
CHANGE_S = np.sqrt(CHANGE_V2) / 0.5
RELEASE_S = CHANGE_S + (np.sqrt(RELEASE_V2) - np.sqrt(CHANGE_V2)) / 0.2
STOP_S = RELEASE_S + np.sqrt(RELEASE_V2) / 0.12


def sample_car(name: str = "Curlew") -> Car:
    return Car(
        name=name,
        body_mass_kg=0.91,
        weight_mass_kg=0.64,
        drop_m=0.56,
        string_diameter_m=0.0006,
        wheels=(
            Wheel("rear", 2, 0.062, 7.3e-5, driven=True),
            Wheel("front", 2, 0.062, 5.8e-5, driven=False),
        ),
        drum=(Tier("start", 0.0123, 3.5, 0.0123), Tier("run", 0.0083, 5.5, 0.0083)),
        encoder=Encoder(20, "rear"),
        losses=Losses(0.012, 0.0, 0.0, 0.92, 0.015, 0.6),
    )


def sample_curve(points: int = 300) -> Curve:
    time_s = np.linspace(0.0, STOP_S, points)
    return Curve(time_s, np.interp(time_s, *_fine(1)), np.interp(time_s, *_fine(2)))


def _fine(column: int) -> tuple[np.ndarray, np.ndarray]:
    """Time and distance (1) or speed (2), finely, by adding up small steps."""
    times = np.linspace(0.0, STOP_S, 20_001)
    steps = [times < CHANGE_S, times < RELEASE_S]
    speed = np.cumsum(np.select(steps, ACCELERATIONS[:2], ACCELERATIONS[2])) * times[1]
    distance = np.cumsum(np.maximum(speed, 0.0)) * times[1]
    return times, (distance if column == 1 else np.maximum(speed, 0.0))


def sample_events(shift_m: float = 0.0) -> tuple[Event, ...]:
    def event(kind: EventKind, t: float, x: float, v2: float, **more: str) -> Event:
        sd = 0.006 if shift_m else None
        return Event(kind, t, x + shift_m, float(np.sqrt(v2)), None, sd, x, **more)

    return (
        Event(EventKind.LAUNCH, 0.0, 0.0, 0.0, None, 0.0),
        event(
            EventKind.TIER_CHANGE, CHANGE_S, CHANGE_M, CHANGE_V2, from_tier="start", to_tier="run"
        ),
        event(EventKind.RELEASE, RELEASE_S, RELEASE_M, RELEASE_V2),
        event(EventKind.STOP, STOP_S, STOP_M, 0.0),
    )


LEDGER = EnergyLedger(3.52, 0.0, 0.28, 0.05, 0.03, 2.83, 0.11, 0.16, 0.06)


def sample_prediction(car: Car | None = None, **changes: object) -> Prediction:
    prediction = Prediction(
        car=(car or sample_car()).name,
        starts=True,
        start_margin=3.1,
        distance_m=STOP_M,
        distance_low_m=STOP_M - 1.2,
        distance_high_m=STOP_M + 1.5,
        furthest_m=STOP_M,
        duration_s=float(STOP_S),
        peak_speed_m_s=float(np.sqrt(RELEASE_V2)),
        peak_at_m=RELEASE_M,
        release_m=RELEASE_M,
        events=sample_events(),
        energy=LEDGER,
        curve=sample_curve(),
        peak_tension_n=8.8,
        string_margin=9.6,
        traction_margin=None,
        tipping_margin=4.2,
    )
    return replace(prediction, **changes)


def sample_motion() -> Motion:
    """Edges 19.5 mm apart along the sample curve, with a little seeded noise in speed."""
    times, distance = _fine(1)
    _, speed = _fine(2)
    count = int(distance[-1] / 0.0195)
    where = np.arange(1, count) * 0.0195
    time_s = np.interp(where, distance, times)
    noise = np.random.default_rng(7).normal(0.0, 0.008, len(time_s))
    ones = np.ones(len(time_s))
    return Motion(
        train=PulseTrain(time_s, ones.astype(np.int8), np.arange(len(time_s))),
        used=np.arange(len(time_s)),
        time_s=time_s,
        distance_m=where,
        speed_m_s=np.maximum(np.interp(time_s, times, speed) + noise, 0.0),
        speed_sd_m_s=0.008 * ones,
        acceleration_m_s2=np.select(
            [time_s < CHANGE_S, time_s < RELEASE_S], ACCELERATIONS[:2], ACCELERATIONS[2]
        ),
        acceleration_sd_m_s2=0.02 * ones,
        pitch=np.ones(20),
        launch_s=0.0,
        stop_s=float(STOP_S),
        stop_m=STOP_M,
        furthest_s=float(STOP_S),
        furthest_m=STOP_M,
        ignored=4,
        missing=0,
        chatter=4,
        handled=0,
    )


def sample_reading(name: str = "Curlew", **changes: object) -> Reading:
    reading = Reading(
        car=name,
        motion=sample_motion(),
        prediction=sample_prediction(sample_car(name)),
        winding=(3.5, 5.5),
        distance_m=STOP_M,
        furthest_m=STOP_M,
        duration_s=float(STOP_S),
        peak_speed_m_s=float(np.sqrt(RELEASE_V2)),
        peak_at_m=RELEASE_M,
        events=sample_events(shift_m=0.02),
        findings=(
            warning(
                ReadingCode.EARLY_RELEASE,
                at_m=RELEASE_M,
                early_m=0.04,
                string_m=0.01,
                slip_share=None,
                left_j=0.3,
                stored_j=3.5,
                turns_doubted=False,
            ),
        ),
        energy=LEDGER,
        stretches=(
            Stretch("tier", "start", 0.0, CHANGE_M, 0.5, 0.004),
            Stretch("tier", "run", CHANGE_M, RELEASE_M, 0.2, 0.003),
            Stretch("coast", None, RELEASE_M, STOP_M, -0.12, None),
        ),
    )
    return replace(reading, **changes)
