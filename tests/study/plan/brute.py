"""All windings in steps of a quarter turn, one after the other: the slow way to the best one."""

from __future__ import annotations

from itertools import product
from math import pi

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.model import predict_windings
from unspool.study.plan import Aim, Goal, Limits

Floats = NDArray[np.float64]


def every_winding(car: Car, step: float = 0.25) -> Floats:
    """(n, tiers) all multiples of `step` within the drop, with half a turn on a tier, or none."""
    axes = [np.arange(0.0, car.drop_m / (2 * pi * t.radius_m) + 1e-9, step) for t in car.drum]
    turns = np.array(list(product(*axes)))
    string = turns @ np.array([2 * pi * t.radius_m for t in car.drum])
    worth_winding = np.all((turns == 0.0) | (turns >= 0.5), axis=1)
    return turns[worth_winding & (string <= car.drop_m) & (string > 0.0)]


def best(car: Car, track: Track, goal: Goal, limits: Limits, turns: Floats) -> float:
    """The best distance, time at the mark or miss of it that any of these windings gets."""
    runs = predict_windings(car, turns, track, goal.mark_m)
    kept = runs.start_margin >= limits.start_margin
    for name in ("traction_margin", "tipping_margin", "string_margin"):
        kept &= ~(getattr(runs, name) < getattr(limits, name))
    if goal.aim is Aim.FARTHEST:
        return float(runs.distance_m[kept].max())
    if goal.aim is Aim.FASTEST:
        return float(np.nanmin(runs.mark_s[kept]))
    return float(np.abs(runs.distance_m[kept] - goal.place_m).min())
