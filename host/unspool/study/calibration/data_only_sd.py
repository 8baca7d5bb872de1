"""How closely the runs by themselves show each term, whatever was believed of it before.

A narrow interval may be the prior's doing: at one mass the runs show the sum of rolling and
constant drag, and the prior alone how it splits. So each term's own prior, and those of the terms
that it may be mistaken for, are widened until only the runs are left. What the builder vouches for
stays, but never as a reason to call that same term estimated by the runs.
"""

from __future__ import annotations

import numpy as np

from unspool.study.calibration.pool import CLOCK, SHARED, Pooled
from unspool.study.calibration.priors import CLOCK_SD, Prior
from unspool.study.calibration.types import TERMS, Array

WIDER = 100.0  # times the prior's sd: as good as none, and the matrix still inverts
_LEAST_WEIGHT = 1e-4  # cases below it change nothing


def data_only_sd(pooled: Pooled, prior: Prior) -> Array:
    """(4,) standard deviation of each term in the order of TERMS, from the runs alone."""
    counts = pooled.weight > _LEAST_WEIGHT
    weight = pooled.weight[counts] / pooled.weight[counts].sum()
    sd = np.r_[prior.sd, CLOCK_SD]
    told = pooled.information[counts] * np.outer(sd, sd)
    variance = [weight @ _variance(told, which, prior) for which in range(len(TERMS))]
    return np.asarray(prior.sd * np.sqrt(variance))


def _variance(told: Array, which: int, prior: Prior) -> Array:
    believed = np.full(SHARED, WIDER**-2.0)
    believed[:CLOCK][prior.vouched] = 1.0
    believed[which], believed[CLOCK] = WIDER**-2.0, 1.0
    return np.asarray(np.linalg.inv(told + np.diag(believed))[:, which, which])
