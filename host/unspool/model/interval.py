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
from unspool.model.simulate import Simulation


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
    distances, starts = likely_distances(car, track)
    taken = distances[starts] if run.starts and np.any(starts) else distances
    low, high = np.quantile(taken, [LOW, HIGH]).tolist()
    return DistanceInterval(
        min(low, run.rest_m), max(high, run.rest_m), 1.0 - float(np.mean(starts))
    )


def likely_distances(car: Car, track: Track) -> tuple[Floats, Flags]:
    """(n,) equally likely distances to rest in m, and whether the car starts."""
    losses = loss_draws(car)
    turns = np.tile([tier.turns for tier in car.drum], (len(losses.rolling), 1))
    batch = replace(
        batch_of_windings(car, track, turns),
        rolling=losses.rolling,
        break_away=losses.at_rest,
        constant_n=losses.constant_n,
        linear_n_s_m=losses.linear_n_s_m,
        drag_kg_m=0.5 * track.air_density_kg_m3 * losses.drag_area_m2,
        efficiency=losses.efficiency,
    )
    runs = predict_batch(batch)
    return runs.distance_m, runs.starts
