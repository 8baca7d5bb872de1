"""The 90 % interval of a predicted distance before any run, from the uncertainty of the losses.

Equally likely sets of losses are run, and the quantiles of their distances are the interval's ends.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import numpy as np

from unspool.car import Car, Track
from unspool.intervals import HIGH, LOW
from unspool.model.batch import predict_batch
from unspool.model.batch_params import batch_of_windings
from unspool.model.loss_draws import loss_draws
from unspool.model.number import Floats
from unspool.model.params import params_of
from unspool.model.simulate import Simulation, simulate


def distance_interval(car: Car, track: Track, run: Simulation) -> tuple[float, float]:
    """Lower and upper end of the 90 % interval of the distance to standstill, in m.

    `run` is the car's own. Both ends are infinite if nothing stops the car.
    """
    if not isfinite(run.rest_m):
        return run.rest_m, run.rest_m
    low, high = np.quantile(likely_distances(car, track, run), [LOW, HIGH]).tolist()
    return min(low, run.rest_m), max(high, run.rest_m)


def likely_distances(car: Car, track: Track, run: Simulation) -> Floats:
    """(n,) equally likely distances to rest in m.

    If the run starts, only sets of losses with which the car starts are taken: a builder who has to
    push the car changes it.

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
    distances = runs.distance_m[runs.starts] if run.starts else runs.distance_m
    if like is car:
        return distances
    drag = car.losses.constant_drag_n + speed * car.losses.linear_drag_n_s_per_m
    constant = replace(like.losses, constant_drag_n=drag)
    own = simulate(params_of(replace(like, losses=constant), track)).rest_m
    return distances * (run.rest_m / own) if own else distances


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
