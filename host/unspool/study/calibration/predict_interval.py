"""The next run, with an interval from what the runs left open and how much they differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.special import ndtri

from unspool.car import FLAT, Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.intervals import HIGH, LOW
from unspool.model import predict
from unspool.model.outcome import Prediction
from unspool.study.calibration.car_model import (
    DRAG_AREA,
    DRIVE,
    LINEAR_DRAG,
    RESISTANCE,
    CarModel,
    turns_sd,
)  # fmt: skip
from unspool.study.calibration.floor import Floor
from unspool.study.calibration.joint_fit import LEAST_AREA_M2
from unspool.study.calibration.resting_place import resting_place
from unspool.study.calibration.run_findings import run_findings
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    Array,
    Calibration,
)  # fmt: skip


def predict_with(calibration: Calibration, car: Car, track: Track = FLAT) -> Prediction:
    """The run of this car with the calibrated losses; distance_low_m and distance_high_m bound the
    90 % interval of one more run, not of the mean of many. What is odd about the calibration's runs
    is among the findings. Raises InputError as predict does.
    """
    told = predict(calibration.calibrated(car), track)
    distances = likely_distances(calibration, car, track)
    low, high = np.quantile(distances, [LOW, HIGH]).tolist()
    return replace(
        told,
        distance_low_m=min(low, told.distance_m),
        distance_high_m=max(high, told.distance_m),
        findings=(*run_findings(calibration, car), *told.findings),
    )


def likely_distances(calibration: Calibration, car: Car, track: Track = FLAT) -> Array:
    """(n,) equally likely distances to rest of one more run."""
    terms, errors = likely_terms(calibration), calibration.errors
    floor, turns = Floor.of(track), turns_sd(car, counted=True)
    model = CarModel(car, track.air_density_kg_m3, floor, errors, turns)
    at = model.layout
    z = np.zeros((len(terms), at.count))
    z[:, at.error] = calibration.draws.errors
    weight = model.total_kg(z) * STANDARD_GRAVITY
    z[:, RESISTANCE] = weight * terms[:, ROLLING] + terms[:, CONSTANT]
    z[:, LINEAR_DRAG], z[:, DRAG_AREA] = terms[:, LINEAR], terms[:, DRAG]
    z[:, DRIVE] = terms[:, EFFICIENCY]
    # A break-away moves with the rolling that it was given for.
    ready = calibration.losses(car)
    hold = max(ready.break_away_coefficient / ready.rolling_coefficient, 1.0)
    holding = z[:, RESISTANCE] + (hold - 1.0) * weight * terms[:, ROLLING]
    return resting_place(model.variants(z), holding)


def likely_terms(calibration: Calibration) -> Array:
    """(n, 5) equally likely losses of one more run, its own part of the scatter in them."""
    from scipy.stats import qmc  # slow to load, and many commands do without it

    terms = calibration.draws.terms.copy()
    numbers = qmc.Sobol(3, seed=2).random(len(terms)).clip(1e-9, 1.0 - 1e-9)
    # In another order than the draws, whose own Sobol sequence halves the space in step with it.
    numbers = np.random.default_rng(2).permutation(numbers)
    own = np.exp(calibration.draws.scatter * ndtri(numbers))
    terms[:, [ROLLING, CONSTANT]] *= own[:, :1]
    terms[:, DRAG] = np.maximum(terms[:, DRAG] * own[:, 1], LEAST_AREA_M2)
    terms[:, EFFICIENCY] = np.minimum(terms[:, EFFICIENCY] * own[:, 2], 1.0)
    return terms
