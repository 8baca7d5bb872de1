"""The ways back of a car that a slope returns: each is a run of its own, from rest, with no string.

Seen from the turning point and along the way back, distance grows again and the floor's slope has
the other sign; the law is that of a coast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.car.track import Track
from unspool.car.vehicle import Car
from unspool.events.law import Grade, Law
from unspool.events.likelihood import Edges, Noise, Problem, fit_law
from unspool.motion.types import Motion

FEWEST_EDGES = 8
AGREE_SLOTS = 1.5  # the law's rest and the one that the last edges show


@dataclass(frozen=True)
class Rest:
    """Where the wheel came to rest, from the launch; sd None where it is not known."""

    time_s: float
    distance_m: float
    time_sd_s: float | None
    distance_sd_m: float | None


def follow_back(
    motion: Motion, car: Car, track: Track, out: Problem, noise: Noise, turn: Rest
) -> Rest:
    """The rest at the end of the last way back, given where the way out ended."""
    direction, first, rest = -1, motion.way_out, turn
    while first < len(motion.slot):
        steps = np.sign(np.diff(motion.slot[first:]))
        turned = np.flatnonzero(steps == -direction)
        last = first + int(turned[0]) + 1 if len(turned) else len(motion.slot)
        rest = _leg(motion, car, track, out, noise, rest, slice(first, last), direction)
        first, direction = last, -direction
    seen = Rest(motion.stop_s, motion.stop_m, None, None)
    far = abs(rest.distance_m - seen.distance_m) > AGREE_SLOTS * out.edges.pitch_m
    return seen if far else rest


def _leg(
    motion: Motion,
    car: Car,
    track: Track,
    out: Problem,
    noise: Noise,
    turn: Rest,
    part: slice,
    direction: int,
) -> Rest:
    edges = Edges(
        time_s=motion.time_s[part],
        boundary=direction * motion.slot[part],
        pulses=out.edges.pulses,
        pitch_m=out.edges.pitch_m,
    )
    rolled = direction * (motion.distance_m[part] - turn.distance_m)
    lost = Rest(
        float(edges.time_s[-1]), turn.distance_m + direction * float(rolled[-1]), None, None
    )
    if len(rolled) < FEWEST_EDGES:
        return lost
    grade = Grade.of(track, car, out.masses, turn.distance_m, direction)
    problem = Problem(edges, grade, out.masses, out.drag_per_m, out.drag_sd)
    took = float(edges.time_s[len(rolled) // 2]) - turn.time_s
    pull = 2.0 * float(rolled[len(rolled) // 2]) / max(took, 0.1) ** 2
    start = grade.acceleration_at(float(rolled[len(rolled) // 4]))
    tries = [
        fit_law(problem, Law(turn.time_s, 0.0, (), (pull - start * share,), out.drag_per_m))
        for share in (1.0, 0.5)
    ]
    fits = [fit for fit in tries if fit is not None and np.isfinite(fit.trace.stop_m)]
    if not fits:
        return lost
    best = min(fits, key=lambda fit: fit.noise.place_m)
    time_sd, distance_sd = best.output_sd[1:3]
    return Rest(
        best.trace.stop_s,
        turn.distance_m + direction * best.trace.stop_m,
        float(time_sd),
        float(np.hypot(distance_sd, turn.distance_sd_m or 0.0)),
    )
