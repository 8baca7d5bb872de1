"""The 90 % interval of a predicted distance before any run, from the uncertainty of the losses.

Equally likely sets of losses are run, and the quantiles of their distances are the interval's ends.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from unspool.car import Car, Track
from unspool.intervals import HIGH, LOW
from unspool.model.batch import predict_batch
from unspool.model.batch_params import batch_of_windings
from unspool.model.loss_draws import loss_draws
from unspool.model.number import Flags, Floats
from unspool.model.params import params_of
from unspool.model.simulate import Simulation, simulate


@dataclass(frozen=True)
class DistanceInterval:
    """The 90 % interval in m, and the share of likely losses with which the car does not start."""

    low_m: float
    high_m: float
    stuck: float


def distance_interval(car: Car, track: Track, run: Simulation) -> DistanceInterval:
    """The interval of the distance to standstill. `run` is the car's own.

    Both ends are infinite if nothing stops the car. If the run starts, the interval is that of the
    losses with which the car starts: a builder who has to push a car changes it.
    """
    if not isfinite(run.rest_m):
        return DistanceInterval(run.rest_m, run.rest_m, 0.0)
    distances, starts = likely_distances(car, track, run)
    taken = distances[starts] if run.starts and np.any(starts) else distances
    low, high = np.quantile(taken, [LOW, HIGH]).tolist()
    return DistanceInterval(
        min(low, run.rest_m), max(high, run.rest_m), 1.0 - float(np.mean(starts))
    )


def likely_distances(car: Car, track: Track, run: Simulation) -> tuple[Floats, Flags]:
    """(n,) equally likely distances to rest in m, and whether the car starts.

    A taper or a linear drag has no closed form. Then the spread is that of a like car that has one,
    and its distances are scaled to those of the run.
    """
    like, speed = _like(car), run.rest_m / run.rest_s if run.rest_s else 0.0
    losses = loss_draws(car)
    turns = np.tile([tier.turns for tier in like.drum], (len(losses.rolling), 1))
    batch = replace(
        batch_of_windings(like, track, turns),
        rolling=losses.rolling,
        break_away=losses.at_rest,
        constant_n=losses.constant_n + speed * losses.linear_n_s_m,
        drag_kg_m=0.5 * track.air_density_kg_m3 * losses.drag_area_m2,
        efficiency=losses.efficiency,
    )
    runs = predict_batch(batch)
    if like is car:
        return runs.distance_m, runs.starts
    drag = car.losses.constant_drag_n + speed * car.losses.linear_drag_n_s_per_m
    constant = replace(like.losses, constant_drag_n=drag)
    own = simulate(params_of(replace(like, losses=constant), track)).rest_m
    return runs.distance_m * (run.rest_m / own if own else 1.0), runs.starts


def _like(car: Car) -> Car:
    """The car itself, or with the middle radius of each taper and without a linear drag."""
    if not car.losses.linear_drag_n_s_per_m and not any(tier.tapered for tier in car.drum):
        return car
    middle = (0.5 * (tier.radius_m + tier.end_radius_m) for tier in car.drum)
    drum = tuple(
        replace(tier, radius_m=radius, end_radius_m=radius)
        for tier, radius in zip(car.drum, middle, strict=True)
    )
    return replace(car, drum=drum, losses=replace(car.losses, linear_drag_n_s_per_m=0.0))
