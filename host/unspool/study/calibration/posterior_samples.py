"""Equally likely sets of losses from a pool's Gaussians, cut to what is possible.

Terms are drawn one after the other, each within its bounds given those before it. Each is weighted
by how much of its Gaussian the bounds leave (the GHK simulator: Geweke, Hajivassiliou, Keane). The
numbers come from a Sobol sequence, so that the same runs give the same answer.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtri

from unspool.model.number import Indices
from unspool.study.calibration.pool import (
    DRAWN,
    EXTRA,
    Pooled,
    drawn,
    log_possible,
    log_share,
)
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.shared_prior import SharedPrior
from unspool.study.calibration.types import (
    TERMS,
    Array,
    Draws,
)

COUNT = 2048  # a power of 2 keeps a Sobol sequence balanced; some 100 lie beyond each 90 % bound
_LEAST_WEIGHT = 1e-4  # cases below it are not worth a draw


def draw(pooled: Pooled, shared: SharedPrior) -> Draws:
    """COUNT sets of losses, each with the errors and slopes that go with it."""
    from scipy.stats import qmc  # slow to load, and many commands do without it

    prior, size = shared.terms, pooled.mean.shape[1]
    numbers = qmc.Sobol(size, seed=1).random(COUNT)
    weight = np.where(pooled.weight > _LEAST_WEIGHT, pooled.weight, 0.0)
    case = np.searchsorted(np.cumsum(weight / weight.sum()), numbers[:, 0]).clip(
        max=len(weight) - 1
    )
    found, log = _within(pooled, case, prior, numbers[:, 1:])
    # The cases' weights know the bounds already, the terms as if independent.
    log -= log_possible(pooled.mean[case], pooled.factor[case], prior)
    chosen = _evenly(np.exp(log - log.max()))
    found, slopes = found[chosen], EXTRA + shared.errors
    return Draws(
        terms=found[:, : len(TERMS)],
        scatter=pooled.scatter[case[chosen]],
        errors=found[:, EXTRA:slopes],
        slopes=found[:, slopes:],
    )


def _within(pooled: Pooled, case: Indices, prior: Prior, u: Array) -> tuple[Array, Array]:
    """(n, s) the terms within their bounds, each of its own Gaussian, and the log of their weights.

    The clock stays 0: nothing asks for it.
    """
    from scipy.stats import truncnorm  # slow to load, and many commands do without it

    mean, factor = pooled.mean[case], pooled.factor[case, :-1, :-1]
    u = np.clip(u, 1e-9, 1.0 - 1e-9)
    z, log = np.empty_like(u), np.zeros(len(u))
    for k, term in enumerate(DRAWN):
        at = mean[:, term] + np.sum(factor[:, k, :k] * z[:, :k], axis=1)
        low = (prior.lower[term] - at) / factor[:, k, k]
        high = (prior.upper[term] - at) / factor[:, k, k]
        z[:, k] = truncnorm.ppf(u[:, k], low, high)
        log += log_share(low, high)
    z[:, len(DRAWN) :] = ndtri(u[:, len(DRAWN) :])
    shared, order = np.zeros_like(mean), drawn(mean.shape[1])[:-1]
    shared[:, order] = mean[:, order] + np.einsum("nij,nj->ni", factor, z)
    terms = slice(0, len(TERMS))
    shared[:, terms] = np.clip(shared[:, terms], prior.lower, prior.upper)
    return shared, log


def _evenly(weight: Array) -> Array:
    """Indices that turn weighted draws into equally likely ones (systematic resampling)."""
    total = np.cumsum(weight / weight.sum())
    return np.searchsorted(total, (np.arange(len(weight)) + 0.5) / len(weight)).clip(
        max=len(weight) - 1
    )
