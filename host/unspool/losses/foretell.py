"""The next run, with an interval from what the runs left open and how much they differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from unspool.car import FLAT, Car, Track
from unspool.losses.course import Force
from unspool.losses.pool import SCATTER_OF
from unspool.losses.types import Array, Calibration
from unspool.model import predict
from unspool.model.machine import STANDARD_GRAVITY, Machine, machine
from unspool.model.outcome import Prediction
from unspool.model.ride import ride

LOW, HIGH = 0.05, 0.95


def predict_with(calibration: Calibration, car: Car, track: Track = FLAT) -> Prediction:
    """The run of this car with the calibrated losses; distance_low_m and distance_high_m bound the
    90 % interval of one more run, not of the mean of many. Raises InputError as predict does.
    """
    told = predict(calibration.calibrated(car), track)
    distances = likely_distances(calibration, car, track)
    low, high = np.quantile(distances, [LOW, HIGH]).tolist()
    return replace(
        told,
        distance_low_m=min(low, told.distance_m),
        distance_high_m=max(high, told.distance_m),
    )


def likely_distances(calibration: Calibration, car: Car, track: Track = FLAT) -> Array:
    """(n,) equally likely distances to rest of one more run."""
    ready = machine(calibration.calibrated(car), track)
    forces = likely_forces(calibration, ready.total_kg)
    return _Surface.over(ready, track.air_density_kg_m3, forces).at(forces)


def likely_forces(calibration: Calibration, total_kg: float) -> Array:
    """(n, 3) equally likely forces of one more run, its own part of the scatter in them."""
    rolling, constant, area, efficiency = calibration.draws.terms.T
    forces = np.column_stack([rolling * total_kg * STANDARD_GRAVITY + constant, area, efficiency])
    numbers = qmc.Sobol(3, seed=2).random(len(forces)).clip(1e-9, 1.0 - 1e-9)
    own = calibration.draws.scatter[:, None] * SCATTER_OF * ndtri(numbers)
    forces *= np.exp(own)
    forces[:, 2] = np.minimum(forces[:, 2], 1.0)
    return forces


class _Surface:
    """Distance over forces: quadratic in each force around the middle, in logarithms."""

    def __init__(self, middle: Array, step: Array, down: Array, up: Array, distance: float) -> None:
        self.middle, self.step, self.distance = middle, step, distance
        self.slope, self.bend = 0.5 * (up - down), 0.5 * (up + down)

    @classmethod
    def over(cls, ready: Machine, air_density: float, forces: Array) -> _Surface:
        middle = np.median(forces, axis=0)
        step = np.maximum(forces.std(axis=0), 1e-4 * np.maximum(np.abs(middle), 1e-3))

        def distance(sense: float, which: int) -> float:
            moved = middle.copy()
            moved[which] = max(middle[which] + sense * step[which], 0.2 * middle[which])
            return ride(Force(*moved.tolist()).in_machine(ready, air_density)).x

        base = distance(0.0, 0)
        changes = [[distance(sense, i) - base for i in range(3)] for sense in (-1.0, 1.0)]
        return cls(middle, step, np.array(changes[0]), np.array(changes[1]), base)

    def at(self, forces: Array) -> Array:
        z = (forces - self.middle) / self.step
        return np.asarray(self.distance + z @ self.slope + (z * z) @ self.bend)
