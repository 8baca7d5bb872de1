"""The ways back of a car that a slope returns: each a run of its own, from rest, with no string.

Seen from the turning point and along the way back, distance grows again and the floor's slope has
the other sign; the law is that of a coast. The slot pattern is the one that the way out showed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.track import Track
from unspool.car.vehicle import Car
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.law_fit import LawFit, fit_law, log_likelihood
from unspool.reading.events.law_parameters import DRAG, LINEAR, STOP_M, STOP_S
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.masses import GradeAcceleration
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.motion.types import Motion

FEWEST_EDGES = 6  # a coast from rest has some three numbers; as many edges judge them
AGREE_SLOTS = 1.5  # the law's rest and the one that the last edges show
KNOWN_SLOT_SD = 0.003  # of the pattern, once a way out has shown it, in slots


@dataclass(frozen=True)
class Rest:
    """Where the wheel came to rest, from the launch; sd None if it is not known."""

    time_s: float
    distance_m: float
    time_sd_s: float | None
    distance_sd_m: float | None


@dataclass(frozen=True)
class WayOut:
    """What the way out showed, for the ways back to build on. motion has its pattern in it."""

    motion: Motion
    car: Car
    track: Track
    problem: Problem
    pattern: NDArray[np.float64]


def follow_back(out: WayOut, turn: Rest) -> Rest:
    """The rest at the end of the last way back, given the one at the end of the way out."""
    motion = out.motion
    direction, first, rest = -1, motion.way_out, turn
    for edges in motion.legs[1:]:
        rest = _leg(out, rest, slice(first, first + edges), direction)
        first, direction = first + edges, -direction
    seen = Rest(motion.stop_s, motion.stop_m, None, None)
    far = abs(rest.distance_m - seen.distance_m) > (1.0 + AGREE_SLOTS) * out.problem.edges.pitch_m
    return seen if far else rest


def _leg(out: WayOut, turn: Rest, part: slice, direction: int) -> Rest:
    """Where a leg back came to rest.

    An edge may have been lost at the turning point, on the way back (1) or on the way out (-1).
    """
    tries = [_with_lost(out, turn, part, direction, lost) for lost in (-1, 0, 1)]
    fits = [one for one in tries if one is not None]
    if not fits:
        pitch = out.problem.edges.pitch_m
        here = float(out.motion.distance_m[part][-1]) + direction * 0.5 * pitch
        return Rest(float(out.motion.time_s[part][-1]), here, None, None)
    fit = max(fits, key=log_likelihood)
    stop_s, stop_m = fit.values[STOP_S], fit.values[STOP_M]
    return Rest(
        stop_s.value,
        turn.distance_m + direction * stop_m.value,
        stop_s.sd,
        float(np.hypot(stop_m.sd, turn.distance_sd_m or 0.0)),
    )


def _with_lost(out: WayOut, turn: Rest, part: slice, direction: int, lost: int) -> LawFit | None:
    pitch = out.problem.edges.pitch_m
    slot = out.motion.slot[part] + direction * lost
    if len(slot) < FEWEST_EDGES:
        return None
    edges = WheelEdges(
        time_s=out.motion.time_s[part],
        boundary=direction * slot,
        pulses=len(out.pattern),
        pitch_m=pitch,
        known_m=direction * pitch * out.pattern[np.mod(slot, len(out.pattern))],
        slot_sd=KNOWN_SLOT_SD,
    )
    rolled = direction * (out.motion.distance_m[part] - turn.distance_m) + lost * pitch
    fit = _fit(out, edges, rolled, turn, direction)
    beyond = fit.trace.stop_m - float(rolled[-1]) if fit else -pitch
    return fit if -0.3 * pitch < beyond < AGREE_SLOTS * pitch else None


def _fit(
    out: WayOut, edges: WheelEdges, rolled: NDArray[np.float64], turn: Rest, direction: int
) -> LawFit | None:
    grade = GradeAcceleration.of(out.track, out.car, out.problem.masses, turn.distance_m, direction)
    problem = Problem(edges, grade, out.problem.masses, out.problem.known)
    middle = len(rolled) // 2
    took = max(float(edges.time_s[middle]) - turn.time_s, 0.1)
    slope = grade.acceleration_at(0.5 * float(rolled[middle]))
    pull = 2.0 * float(rolled[middle]) / took**2 - slope
    friction = -out.car.losses.rolling_coefficient * STANDARD_GRAVITY
    known = problem.known
    coast = PiecewiseLaw(turn.time_s, 0.0, (), (pull,), known[DRAG].mean)
    coast = replace(coast, linear_per_s=known[LINEAR].mean)
    starts = [coast, replace(coast, acceleration=(friction,))]
    fits = [fit for start in starts if (fit := fit_law(problem, start)) is not None]
    stopped = [fit for fit in fits if np.isfinite(fit.trace.stop_m)]
    return max(stopped, key=log_likelihood, default=None)
