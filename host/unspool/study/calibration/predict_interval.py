"""The next run, with an interval from what the runs left open and how much they differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from unspool.car import FLAT, Car, Track
from unspool.intervals import HIGH, LOW
from unspool.model import predict
from unspool.model.batch import predict_batch
from unspool.model.batch_params import batch_of_windings
from unspool.model.outcome import Prediction
from unspool.model.params import Params, params_of
from unspool.model.simulate import simulate
from unspool.study.calibration.run_findings import run_findings
from unspool.study.calibration.types import CONSTANT, DRAG, EFFICIENCY, ROLLING, Array, Calibration

# A taper or a linear drag has to be solved, run by run: fewer of the likely ones stand for all.
SOLVED = 64


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
    ready, terms = calibration.calibrated(car), likely_terms(calibration)
    # A break-away moves with the rolling that it was given for.
    hold = ready.losses.break_away_coefficient / ready.losses.rolling_coefficient
    if any(tier.tapered for tier in car.drum) or ready.losses.linear_drag_n_s_per_m:
        return _solved(params_of(ready, track), track, terms, hold)
    turns = np.tile([tier.turns for tier in car.drum], (len(terms), 1))
    batch = replace(
        batch_of_windings(ready, track, turns),
        rolling=terms[:, ROLLING],
        break_away=hold * terms[:, ROLLING],
        constant_n=terms[:, CONSTANT],
        drag_kg_m=0.5 * track.air_density_kg_m3 * terms[:, DRAG],
        efficiency=terms[:, EFFICIENCY],
    )
    return predict_batch(batch).distance_m


def likely_terms(calibration: Calibration) -> Array:
    """(n, 4) equally likely losses of one more run, its own part of the scatter in them."""
    terms = calibration.draws.terms.copy()
    numbers = qmc.Sobol(3, seed=2).random(len(terms)).clip(1e-9, 1.0 - 1e-9)
    # In another order than the draws, whose own Sobol sequence halves the space in step with it.
    numbers = np.random.default_rng(2).permutation(numbers)
    own = np.exp(calibration.draws.scatter * ndtri(numbers))
    terms[:, [ROLLING, CONSTANT]] *= own[:, :1]
    terms[:, DRAG] *= own[:, 1]
    terms[:, EFFICIENCY] = np.minimum(terms[:, EFFICIENCY] * own[:, 2], 1.0)
    return terms


def _solved(base: Params, track: Track, terms: Array, hold: float) -> Array:
    chosen = np.linspace(0, len(terms) - 1, SOLVED).astype(int)
    return np.array([_distance(base, track, terms[i], hold) for i in chosen])


def _distance(base: Params, track: Track, terms: Array, hold: float) -> float:
    rolling = float(terms[ROLLING])
    tried = replace(
        base,
        rolling=rolling,
        break_away=hold * rolling,
        constant_n=float(terms[CONSTANT]),
        drag_kg_m=0.5 * track.air_density_kg_m3 * float(terms[DRAG]),
        efficiency=float(terms[EFFICIENCY]),
    )
    return simulate(tried).x
