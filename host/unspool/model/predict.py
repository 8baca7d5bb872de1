"""Predict: one run of a car on a track, with all that a builder asks about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import isinf

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.model.energy import ledger
from unspool.model.findings import findings
from unspool.model.interval import distance_interval
from unspool.model.margins import margins
from unspool.model.outcome import Curve, EventKind, Prediction
from unspool.model.params import params_of
from unspool.model.segments import solve_segment
from unspool.model.simulate import Simulation, simulate

# Enough for a curve that looks smooth on any screen.
SAMPLES_A_SEGMENT = 60


def predict(car: Car, track: Track = FLAT) -> Prediction:
    """The run that this car makes on this track, wound as its drum says.

    In closed form on every segment of constant tier and slope; a taper is solved.
    If nothing ever stops the car, distance and duration are infinite, and the curve ends at the
    last event.
    """
    run = simulate(params_of(car, track))
    drawn = curve(run)
    peak = int(np.argmax(drawn.speed_m_s))
    interval = distance_interval(car, track, run)
    energy = ledger(run, air_known=car.frontal_area_m2 is not None)
    limits = margins(car, run)
    release = [event.distance_m for event in run.events if event.kind is EventKind.RELEASE]
    return Prediction(
        car=car.name,
        starts=run.starts,
        start_margin=run.start_margin,
        distance_m=run.rest_m,
        distance_low_m=interval.low_m,
        distance_high_m=interval.high_m,
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
        findings=findings(car, run, limits, interval.stuck),
    )


def curve(run: Simulation) -> Curve:
    """The run as a curve; if a catch makes the speed jump, both speeds stand at one instant."""
    pieces = [(np.zeros(1), np.zeros(1), np.zeros(1))]
    for placed in run.segments:
        t, s, v = placed.segment.samples(SAMPLES_A_SEGMENT)
        direction = placed.direction
        pieces.append((placed.t0_s + t, placed.x0_m + direction * s, direction * v))
    kept = [pieces[0]]
    for before, after in pairwise(pieces):
        first = 1 if after[2][0] == before[2][-1] else 0
        kept.append((after[0][first:], after[1][first:], after[2][first:]))
    time, distance, speed = (np.concatenate([piece[i] for piece in kept]) for i in range(3))
    return Curve(time, distance, speed)


def split_times(
    car: Car, track: Track = FLAT, marks_m: Sequence[float] = ()
) -> tuple[float | None, ...]:
    """When the car first passes each mark, in s from the launch; None if it never gets there."""
    run = simulate(params_of(car, track))
    return tuple(first_pass(run, mark) for mark in marks_m)


def first_pass(run: Simulation, mark: float) -> float | None:
    """When the car first passes the mark, in s from the launch; None if it never gets there."""
    for one in run.segments:
        if one.direction > 0 and one.x0_m <= mark <= one.x1_m:
            return one.t0_s + one.segment.time_to(mark - one.x0_m)
    ahead = run.dynamics() if run.never_stops else None
    # With a drag that is linear in the speed the car may still end somewhere: then it is unknown.
    if ahead and ahead.only_square_drag and isinf(run.furthest_m) and mark > run.x:
        return run.t + solve_segment(ahead, run.v, mark - run.x).time_s
    return None
