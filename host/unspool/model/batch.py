"""Predict a hundred thousand windings, or cars, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import limits
from unspool.model.batch_params import BatchParams, batch_of_cars, batch_of_windings
from unspool.model.batch_simulate import simulate_batch
from unspool.model.batch_state import BatchState
from unspool.model.number import Flags, Floats


@dataclass(frozen=True)
class BatchPrediction:
    """(n,) arrays, one entry a winding or car, each the same figure as a Prediction's.

    Distance and duration are infinite if nothing stops the car. NaN is what is not known or did
    not happen: a margin without its data, the release of a string that never let go, a mark that
    was not reached. `energy_j` holds the ledger's terms by name.
    """

    starts: Flags
    start_margin: Floats
    distance_m: Floats
    furthest_m: Floats
    duration_s: Floats
    peak_speed_m_s: Floats
    release_m: Floats
    mark_s: Floats
    peak_tension_n: Floats
    string_margin: Floats
    traction_margin: Floats
    tipping_margin: Floats
    energy_j: dict[str, Floats]

    def __len__(self) -> int:
        return len(self.distance_m)


def predict_windings(
    car: Car, turns: Floats, track: Track = FLAT, mark_m: float | None = None
) -> BatchPrediction:
    """The same car wound in n ways: turns (n, tiers of the drum), 0 for a tier that is not wound.

    mark_m asks for the time at which each first passes that place. A taper is taken as a row of
    small tiers (batch_params.py). Raises ValueError for another number of columns.
    """
    return predict_batch(batch_of_windings(car, track, turns), mark_m)


def predict_cars(
    cars: Sequence[Car], track: Track = FLAT, mark_m: float | None = None
) -> BatchPrediction:
    """n cars, each wound as its drum says; otherwise as predict_windings."""
    return predict_batch(batch_of_cars(cars, track), mark_m)


def predict_batch(params: BatchParams, mark_m: float | None = None) -> BatchPrediction:
    """The runs of parameters that were made beforehand."""
    end = simulate_batch(params, mark_m)
    known = np.isfinite(end.traction)
    return BatchPrediction(
        starts=end.start_margin > 1.0,
        start_margin=end.start_margin,
        distance_m=np.where(end.never_stops, np.inf, end.x),
        furthest_m=end.furthest_m,
        duration_s=np.where(end.never_stops, np.inf, end.t),
        peak_speed_m_s=end.peak_speed,
        release_m=end.release_m,
        mark_s=end.mark_s,
        peak_tension_n=end.tension_n,
        string_margin=limits.string_margin(params.breaking_load_n, end.tension_n),
        traction_margin=np.where(known, end.traction, np.nan),
        tipping_margin=np.where(np.isfinite(end.tipping), end.tipping, np.nan),
        energy_j=_energy(params, end),
    )


def _energy(params: BatchParams, end: BatchState) -> dict[str, Floats]:
    heights = np.interp(end.x, params.level_m, params.level_height_m)
    rise = heights - np.interp(0.0, params.level_m, params.level_height_m)
    energy = {
        "stored": params.stored_j,
        "left_in_weight": params.weight_kg * STANDARD_GRAVITY * (params.drop_m - end.fallen_m),
        "drive": end.drive_j,
        "catches": end.catches_j,
        "landing": end.landing_j,
        "rolling": end.rolling_j,
        "air": end.air_j,
        "grade": params.total_kg * STANDARD_GRAVITY * rise,
        "kinetic": 0.5 * params.coasting_kg * end.v**2,
    }
    spent = sum(term for name, term in energy.items() if name != "stored")
    return {**energy, "unexplained": energy["stored"] - spent}
