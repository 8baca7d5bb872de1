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
from unspool.reading.events.law_jacobian import all_derivatives
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
SAME = 0.1  # a change of all weights by less than this share: the noise has settled
# Promised gains in twice the log-likelihood that end a search: until the noise settles, and then.
ROUGHLY, ENOUGH = 1.0, 0.01
# A search that takes more steps wanders along a valley without a floor.
ROUGH_STEPS, MOST_STEPS = 15, 30


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


def fit_law(
    problem: Problem,
    start: PiecewiseLaw,
    noise: EdgeNoise = FIRST_NOISE,
    enough: float = ENOUGH,
) -> LawFit | None:
    """The most likely law near a guess; None if the guess cannot be a run.

    noise: a guess, too; enough: what the law may fall short of twice the largest log-likelihood.
    """
    law, last = start, False
    for rounds in range(1, MOST_ROUNDS + 1):
        trace = problem.possible_trace(law)
        if trace is None:
            return None
        weight = noise.weight(trace.at(problem.edges.time_s)[1])
        projection = problem.edges.projection(weight)
        first = compare(problem, law, projection)
        assert first is not None
        limits = (enough, MOST_STEPS) if last else (ROUGHLY, ROUGH_STEPS)
        point = descend(problem, first, projection, *limits)
        if last:
            break
        law = point.law
        sharper = likeliest_noise(point.residual, point.there.speed, _spent(problem, law), noise)
        settled = _stays(noise, sharper, point.there.speed)
        if settled and enough >= ROUGHLY:
            break
        last = settled or rounds == MOST_ROUNDS - 1
        noise = EdgeNoise(
            place=max(sharper.place, noise.place / SHARPER),
            jitter_s=max(sharper.jitter_s, noise.jitter_s / SHARPER),
        )
    return _finished(problem, point, noise, projection)


def _spent(problem: Problem, law: PiecewiseLaw) -> int:
    """Degrees of freedom that the fit has used: the law, the origin, the pattern."""
    pattern = min(problem.edges.pulses, len(problem.edges) // 2)
    return len(law.changepoint_m) * 2 + 5 + pattern


def _stays(noise: EdgeNoise, sharper: EdgeNoise, speed: Array) -> bool:
    """Whether the weights of the slowest and of the fastest edge stay: no other changes more."""
    ends = np.array([speed.min(), speed.max()])
    return bool(np.all(np.abs(np.log(sharper.weight(ends) / noise.weight(ends))) < SAME))


def _finished(
    problem: Problem, point: LawPoint, noise: EdgeNoise, projection: PatternProjection
) -> LawFit:
    parameters = LawParameters(point.law, problem.from_rest)
    columns, of_speed, of_derived = all_derivatives(
        problem, parameters, point.law, point.trace, point.there
    )
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
