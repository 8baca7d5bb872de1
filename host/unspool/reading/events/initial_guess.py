"""A first law of a run, from its smooth motion: pull up to the peak speed, coast from there."""

from __future__ import annotations

import numpy as np

from unspool.car.track import Track
from unspool.car.vehicle import Car
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.known import known_of
from unspool.reading.events.law_parameters import CATCH, DRAG, LINEAR
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.masses import GradeAcceleration, Masses
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.motion.types import Motion

LEAST_ACCELERATION = 0.005  # m/s2: keeps a first guess that drives, and that comes to rest


def problem_of(motion: Motion, car: Car, track: Track, way_out: int) -> Problem:
    """The edges of the way out (the first way_out of the motion's) and what is known beforehand."""
    masses = Masses.of(car)
    edges = WheelEdges(
        time_s=motion.time_s[:way_out],
        boundary=motion.slot[:way_out],
        pulses=car.encoder.pulses_per_turn,
        pitch_m=car.metres_per_edge,
    )
    return Problem(
        edges=edges,
        grade=GradeAcceleration.of(track, car, masses),
        masses=masses,
        known=known_of(car, track, masses),
        from_rest=motion.launch_seen,
    )


def first_law(motion: Motion, problem: Problem, begin_m: float = 0.0) -> PiecewiseLaw:
    """Launch, one pull, one changepoint at the peak speed, coast."""
    n = len(problem.edges.time_s)
    distance, speed = motion.distance_m[:n], motion.speed_m_s[:n]
    peak = int(np.argmax(speed))
    changepoint = max(float(distance[peak]), begin_m + 1e-3)
    top = float(speed[peak])
    launch_speed = 0.0 if problem.from_rest else max(float(speed[0]), 0.01)
    pull = (top**2 - launch_speed**2) / (2.0 * (changepoint - begin_m))
    stop = max(motion.furthest_m, changepoint * 1.01, changepoint + 1e-3)
    grade = _mean_grade(problem.grade, changepoint, stop)
    return PiecewiseLaw(
        launch_s=motion.launch_s,
        launch_speed=launch_speed,
        changepoint_m=(changepoint,),
        acceleration=(
            max(pull, LEAST_ACCELERATION) + problem.known[DRAG].mean * top**2 / 2.0,
            min(-(top**2) / (2.0 * (stop - changepoint)) - grade, -LEAST_ACCELERATION),
        ),
        drag_per_m=problem.known[DRAG].mean,
        linear_per_s=problem.known[LINEAR].mean,
        catch=problem.known[CATCH].mean,
        begin_m=begin_m,
    )


def _mean_grade(grade: GradeAcceleration, start: float, end: float) -> float:
    bounds = np.clip([*grade.from_m, np.inf], start, end)
    return float(np.diff(bounds) @ np.array(grade.acceleration) / (end - start))
