"""Predict a hundred thousand windings, or cars, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car import FLAT, Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import limits
from unspool.model.batch_params import Fleet, fleet_of_cars, fleet_of_windings
from unspool.model.batch_simulate import Lanes

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Outcomes:
    """(n,) arrays, one entry a winding or car, each the same figure as a Prediction's.

    Distance and duration are infinite where nothing stops the car. NaN is what is not known or did
    not happen: margins without their data, release_m of a car that never let go, mark_s of one that
    did not reach the mark. energy_j holds the ledger's terms by name.
    """

    starts: NDArray[np.bool_]
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
) -> Outcomes:
    """The same car wound in n ways, turns (n, tiers of the drum), 0 for a tier not wound.

    mark_m asks for the time at which each first passes that place. Raises ValueError for a taper, a
    linear drag or another number of columns.
    """
    _closed([car])
    return run_fleet(fleet_of_windings(car, track, turns), mark_m)


def predict_cars(cars: Sequence[Car], track: Track = FLAT, mark_m: float | None = None) -> Outcomes:
    """n cars, each wound as its drum says; else as predict_windings."""
    _closed(cars)
    return run_fleet(fleet_of_cars(cars, track), mark_m)


def _closed(cars: Sequence[Car]) -> None:
    for car in cars:
        if any(tier.tapered for tier in car.drum) or car.losses.linear_drag_n_s_per_m:
            raise ValueError(f"{car.name}: a taper or a linear drag has no closed form; predict it")


def run_fleet(fleet: Fleet, mark_m: float | None = None) -> Outcomes:
    """The runs of a fleet made beforehand; raises InputError when nothing stops a car."""
    lanes = Lanes(fleet, mark_m)
    lanes.run()
    known = np.isfinite(lanes.traction)
    return Outcomes(
        starts=lanes.start_margin > 1.0,
        start_margin=lanes.start_margin,
        distance_m=np.where(lanes.endless, np.inf, lanes.x),
        furthest_m=lanes.furthest,
        duration_s=np.where(lanes.endless, np.inf, lanes.t),
        peak_speed_m_s=lanes.peak,
        release_m=lanes.release_m,
        mark_s=lanes.mark_s,
        peak_tension_n=lanes.tension,
        string_margin=limits.string_margin(fleet.breaking_load_n, lanes.tension),
        traction_margin=np.where(known, lanes.traction, np.nan),
        tipping_margin=np.where(np.isfinite(lanes.tipping), lanes.tipping, np.nan),
        energy_j=_energy(fleet, lanes),
    )


def _energy(fleet: Fleet, lanes: Lanes) -> dict[str, Floats]:
    heights = np.interp(lanes.x, fleet.level_m, fleet.level_height_m)
    rise = heights - np.interp(0.0, fleet.level_m, fleet.level_height_m)
    energy = {
        "stored": fleet.stored_j,
        "left_in_weight": fleet.weight_kg * STANDARD_GRAVITY * (fleet.drop_m - lanes.fallen),
        "drive": lanes.drive_j,
        "catches": lanes.catches_j,
        "landing": lanes.landing_j,
        "rolling": lanes.rolling_j,
        "air": lanes.air_j,
        "grade": fleet.total_kg * STANDARD_GRAVITY * rise,
        "kinetic": 0.5 * fleet.coasting_kg * lanes.v**2,
    }
    spent = sum(term for name, term in energy.items() if name != "stored")
    return {**energy, "unexplained": energy["stored"] - spent}
