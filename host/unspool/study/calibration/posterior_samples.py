"""Equally likely sets of losses from a pool's Gaussians, cut to what is possible.

Terms are drawn one after the other, each within its bounds given those before it. Each is weighted
by how much of its Gaussian the bounds leave (the GHK simulator: Geweke, Hajivassiliou, Keane). The
numbers come from a Sobol sequence, so that the same runs give the same answer.
"""

from __future__ import annotations

import numpy as np
from scipy.stats import qmc, truncnorm

from unspool.study.calibration.pool import SHARED, Pooled, log_possible, log_share
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.types import CONSTANT, DRAG, EFFICIENCY, ROLLING, Array, Draws

COUNT = 2048  # a power of 2 keeps a Sobol sequence balanced; some 100 lie beyond each 90 % bound
_LEAST_WEIGHT = 1e-4  # cases below it are not worth a draw
# Those at a bound first: the weights stay even.
_ORDER = np.array([CONSTANT, DRAG, EFFICIENCY, ROLLING])


def draw(pooled: Pooled, prior: Prior) -> Draws:
    """COUNT sets of losses."""
    numbers = qmc.Sobol(SHARED, seed=1).random(COUNT)
    weight = np.where(pooled.weight > _LEAST_WEIGHT, pooled.weight, 0.0)
    case = np.searchsorted(np.cumsum(weight / weight.sum()), numbers[:, 0]).clip(
        max=len(weight) - 1
    )
    terms, log = _within(pooled.mean[case], pooled.covariance[case], prior, numbers[:, 1:])
    # The cases' weights know the bounds already, the terms as if independent.
    log -= log_possible(pooled.mean[case], pooled.covariance[case], prior)
    chosen = _evenly(np.exp(log - log.max()))
    return Draws(terms[chosen], pooled.scatter[case[chosen]])


def _within(mean: Array, covariance: Array, prior: Prior, u: Array) -> tuple[Array, Array]:
    """(n, 4) terms within their bounds, each of its own Gaussian, and the log of their weights."""
    factor = np.linalg.cholesky(covariance[:, _ORDER[:, None], _ORDER])
    z, log = np.zeros_like(u), np.zeros(len(u))
    for k, term in enumerate(_ORDER):
        at = mean[:, term] + np.sum(factor[:, k, :k] * z[:, :k], axis=1)
        low = (prior.lower[term] - at) / factor[:, k, k]
        high = (prior.upper[term] - at) / factor[:, k, k]
        z[:, k] = truncnorm.ppf(np.clip(u[:, k], 1e-9, 1.0 - 1e-9), low, high)
        log += log_share(low, high)
    terms = np.empty_like(z)
    terms[:, _ORDER] = mean[:, _ORDER] + np.einsum("nij,nj->ni", factor, z)
    return np.clip(terms, prior.lower, prior.upper), log


def _evenly(weight: Array) -> Array:
    """Indices that turn weighted draws into equally likely ones (systematic resampling)."""
    total = np.cumsum(weight / weight.sum())
    return np.searchsorted(total, (np.arange(len(weight)) + 0.5) / len(weight)).clip(
        max=len(weight) - 1
    )
