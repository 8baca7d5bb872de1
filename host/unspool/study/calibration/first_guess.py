"""Where a fit starts: a run's forces from energy alone."""

from __future__ import annotations

import numpy as np

from unspool.car import Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.study.calibration.run_model import RunModel
from unspool.study.calibration.types import Array


def first_guess(model: RunModel, track: Track, drag_area_m2: float, efficiency: float) -> Array:
    """(4,) forces: of the coast for the resistance, of the drive for the rest; no linear drag."""
    edges, car, speed = model.edges, model.car.car, model.speed_m_s
    weight = car.total_mass_kg * STANDARD_GRAVITY
    coasting = car.total_mass_kg + car.rotating_mass_kg
    peak = int(np.argmax(speed))
    u = float(speed[peak]) ** 2
    way = (edges.boundary - edges.boundary[0]) * edges.pitch_m
    coast = max(float(way[-1] - way[peak]), edges.pitch_m)
    rise = np.interp(way[[0, peak, -1]], track.distance_m, track.height_m) * weight
    air = 0.25 * track.air_density_kg_m3 * drag_area_m2 * u
    resistance = (0.5 * coasting * u - (rise[2] - rise[1])) / coast - air
    resistance = float(np.clip(resistance, 0.001 * weight, None))
    taken = 0.5 * coasting * u + resistance * float(way[peak]) + (rise[1] - rise[0])
    given = _given_j(car)
    guess = taken / given if given > 0.0 else efficiency
    return np.array([resistance, 0.0, drag_area_m2, float(np.clip(guess, 0.3, 1.0))])


def _given_j(car: Car) -> float:
    """By the weight, over the string that was wound."""
    used = min(car.drop_m, car.wound_string_m)
    return car.weight_mass_kg * STANDARD_GRAVITY * used
