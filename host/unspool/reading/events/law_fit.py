"""The law that makes the edges most likely, and how sure each of its numbers is.

Edge k at boundary b_k passes where the law has the car, up to pattern, origin and noise (see
reading/edges/wheel_edges.py). At the maximum the inverse of the Fisher information J' W J is the
covariance of the law's parameters and, through their gradients, of when and where things happened.
The noise itself is the one that makes the residuals most likely.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.fitted_values import FittedValues
from unspool.reading.edges.noise import EdgeNoise, likeliest_noise
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.events.gauss_newton import (
    LawPoint,
    Normal,
    compare,
    descend,
)
from unspool.reading.events.law_jacobian import central_derivatives
from unspool.reading.events.law_parameters import LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.events.trace import Trace

Array = NDArray[np.float64]

# Wide on purpose: with the final noise, a slow edge is worth so much that only a guess close to the
# answer can bear it.
FIRST_NOISE = EdgeNoise(place=3e-4, jitter_s=100e-6)
SHARPER = 30.0  # a factor by which the noise may fall in a round, for the same reason
MOST_ROUNDS = 8  # bounds the time if the noise never settles
# A round ends the fit when the noise stays: its place within this share, its jitter within that.
SAME_PLACE, SAME_JITTER = 0.8, 0.1


@dataclass(frozen=True)
class LawFit:
    """The most likely law. values has its parameters and what follows from them, by name.

    Arrays over the edges are (n,): residual_m without origin and pattern, and the weight that each
    edge had. cost is the weighted sum of squares with the priors' share.
    """

    law: PiecewiseLaw
    trace: Trace
    values: FittedValues
    noise: EdgeNoise
    residual_m: Array
    weight: Array
    pattern: Array  # (P,) in slots
    origin_m: float
    cost: float
    columns: Array  # (n, q + 1) of the edges, the last one the origin's, pattern projected out
    speed_sd: Array  # (n,) of the speed at each edge


def log_likelihood(fit: LawFit) -> float:
    """Up to a constant."""
    return float(0.5 * np.log(fit.weight).sum() - 0.5 * fit.cost)


def fit_law(problem: Problem, start: PiecewiseLaw) -> LawFit | None:
    """The most likely law near a guess; None if the guess cannot be a run."""
    law, noise = start, FIRST_NOISE
    for _ in range(MOST_ROUNDS):
        trace = problem.possible_trace(law)
        if trace is None:
            return None
        weight = noise.weight(trace.at(problem.edges.time_s)[1])
        projection = problem.edges.projection(weight)
        first = compare(problem, law, projection)
        assert first is not None
        point = descend(problem, first, projection)
        law = point.law
        sharper = likeliest_noise(point.residual, point.speed, _spent(problem, law), noise)
        if _stays(noise, sharper):
            break
        noise = EdgeNoise(
            place=max(sharper.place, noise.place / SHARPER),
            jitter_s=max(sharper.jitter_s, noise.jitter_s / SHARPER),
        )
    return _finished(problem, point, noise, projection)


def _spent(problem: Problem, law: PiecewiseLaw) -> int:
    """Degrees of freedom that the fit has used: the law, the origin, the pattern."""
    pattern = min(problem.edges.pulses, len(problem.edges) // 2)
    return len(law.changepoint_m) * 2 + 5 + pattern


def _stays(noise: EdgeNoise, sharper: EdgeNoise) -> bool:
    place = sharper.place > SAME_PLACE * noise.place
    return place and abs(sharper.jitter_s / noise.jitter_s - 1) < SAME_JITTER


def _finished(
    problem: Problem, point: LawPoint, noise: EdgeNoise, projection: PatternProjection
) -> LawFit:
    parameters = LawParameters(point.law, problem.from_rest)
    columns, of_speed, of_derived = central_derivatives(problem, parameters, point.law, point.trace)
    normal = Normal.of(problem, parameters, projection, columns)
    covariance = normal.covariance()
    own = FittedValues(parameters.names, parameters.vector(point.law), covariance)
    derived = parameters.derived(point.law, point.trace)
    variance = np.einsum("nq,qr,nr->n", of_speed, covariance, of_speed)
    return LawFit(
        law=point.law,
        trace=point.trace,
        values=own.with_derived(parameters.derived_names, derived.tolist(), of_derived),
        noise=noise,
        residual_m=point.residual,
        weight=projection.weight,
        pattern=-point.slot_m / problem.edges.pitch_m,
        origin_m=point.origin,
        cost=point.cost,
        columns=normal.projected,
        speed_sd=np.sqrt(np.maximum(variance, 0.0)),
    )
