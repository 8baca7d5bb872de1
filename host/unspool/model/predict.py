"""Predict: one run of a car on a track, with all that a builder asks about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import isinf

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.model.cautions import cautions
from unspool.model.energy import ledger
from unspool.model.interval import distance_band
from unspool.model.legs import roll
from unspool.model.margins import margins
from unspool.model.outcome import Curve, EventKind, Prediction
from unspool.model.params import machine
from unspool.model.simulate import Ride, ride

SAMPLES_A_LEG = 60


def predict(car: Car, track: Track = FLAT) -> Prediction:
    """The run that this car makes on this track, wound as its drum says.

    Closed form on every stretch of constant tier and slope; a taper or a linear drag is solved.
    Where nothing in the car's losses would ever stop it, distance and duration are infinite and the
    curve ends where the last event is.
    """
    run = ride(machine(car, track))
    drawn = curve(run)
    peak = int(np.argmax(drawn.speed_m_s))
    low, high = distance_band(car, track, run.rest_m)
    energy = ledger(run, air_known=car.frontal_area_m2 is not None)
    limits = margins(car, run)
    release = [event.distance_m for event in run.events if event.kind is EventKind.RELEASE]
    return Prediction(
        car=car.name,
        starts=run.starts,
        start_margin=run.start_margin,
        distance_m=run.rest_m,
        distance_low_m=low,
        distance_high_m=high,
        furthest_m=run.furthest_m,
        duration_s=run.rest_s,
        peak_speed_m_s=float(drawn.speed_m_s[peak]),
        peak_at_m=float(drawn.distance_m[peak]),
        release_m=release[0] if release else None,
        events=tuple(run.events),
        energy=energy,
        curve=drawn,
        peak_tension_n=limits.peak_tension_n,
        string_margin=limits.string,
        traction_margin=limits.traction,
        tipping_margin=limits.tipping,
        warnings=cautions(car, run, limits),
    )


def curve(run: Ride) -> Curve:
    """The run drawn; where a catch makes the speed jump, both speeds stand at one instant."""
    pieces = [(np.zeros(1), np.zeros(1), np.zeros(1))]
    for passage in run.passages:
        t, s, v = passage.leg.samples(SAMPLES_A_LEG)
        sense = passage.sense
        pieces.append((passage.t0_s + t, passage.x0_m + sense * s, sense * v))
    kept = [pieces[0]]
    for before, after in pairwise(pieces):
        first = 1 if after[2][0] == before[2][-1] else 0
        kept.append((after[0][first:], after[1][first:], after[2][first:]))
    time, distance, speed = (np.concatenate([piece[i] for piece in kept]) for i in range(3))
    return Curve(time, distance, speed)


def split_times(
    car: Car, track: Track = FLAT, marks_m: Sequence[float] = ()
) -> tuple[float | None, ...]:
    """When the car first passes each mark, in s from the launch; None where it never gets there."""
    run = ride(machine(car, track))
    return tuple(first_pass(run, mark) for mark in marks_m)


def first_pass(run: Ride, mark: float) -> float | None:
    """When the car first passes the mark, in s from the launch; None where it never gets there."""
    for one in run.passages:
        if one.sense > 0 and one.x0_m <= mark <= one.x1_m:
            return one.t0_s + one.leg.time_to(mark - one.x0_m)
    law = run.law() if run.endless else None
    # With a drag that is linear in the speed the way may have an end even so: not told.
    if law is not None and law.closed and isinf(run.furthest_m) and mark > run.x:
        return run.t + roll(law, run.v, mark - run.x).time_s
    return None
