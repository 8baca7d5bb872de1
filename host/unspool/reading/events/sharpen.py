"""The motion of a run, sharpened by the law that was fitted to it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.slot_pattern import pitches, places
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.law_parameters import acceleration
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.rollback import Rest
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

LAW_FITS_SLOTS = 0.01  # misplacement of edges, in slots, up to which the law is the motion


def sharpened(motion: Motion, fit: LawFit, problem: Problem, turn: Rest) -> Motion:
    """The motion with the launch, the pattern and the end of the way out that the law found."""
    pitch = problem.edges.pitch_m
    distance = places(motion.slot, fit.pattern) * pitch - fit.origin_m
    return replace(
        _ruled(motion, fit, pitch),
        distance_m=distance,
        pitch=pitches(fit.pattern - fit.pattern.mean()),
        launch_s=motion.launch_s if motion.spun else fit.law.launch_s,
        furthest_s=turn.time_s,
        furthest_m=turn.distance_m,
        stop_m=motion.stop_m + float(distance[-1] - motion.distance_m[-1]),
    )


def _ruled(motion: Motion, fit: LawFit, pitch_m: float) -> Motion:
    """The motion with the law's speed and acceleration on the way out, where the law fits."""
    if fit.noise.place > LAW_FITS_SLOTS * pitch_m:
        return motion
    before, n = motion.spun, motion.way_out
    stretch, at_edges = fit.trace.stretch_at(motion.time_s[before:n])
    sds = [fit.values[acceleration(i)].sd for i in range(len(fit.law.acceleration))]
    speed = fit.trace.at(motion.time_s[before:n])[1]

    def joined(out: Array, was: Array) -> Array:
        return np.concatenate([was[:before], out, was[n:]])

    return replace(
        motion,
        speed_m_s=joined(speed, motion.speed_m_s),
        speed_sd_m_s=joined(fit.speed_sd, motion.speed_sd_m_s),
        acceleration_m_s2=joined(at_edges, motion.acceleration_m_s2),
        acceleration_sd_m_s2=joined(np.array(sds)[stretch], motion.acceleration_sd_m_s2),
    )


def ended_at(motion: Motion, rest: Rest) -> Motion:
    return replace(
        motion,
        stop_s=rest.time_s,
        stop_m=rest.distance_m,
        stop_seen=not motion.train.ending.is_cut
        and (motion.stop_seen or rest.distance_sd_m is not None),
    )
