"""How closely the runs by themselves show each term, whatever was believed of it before.

A narrow interval may be the prior's doing: at one mass the runs show the sum of rolling and
constant drag, and the prior alone how it splits. So each term's own prior, and those of the terms
that it may be mistaken for, are widened until only the runs are left. What the builder vouches for
stays, but never as a reason to call that same term estimated by the runs.
"""

from __future__ import annotations

import numpy as np

from unspool.study.calibration.pool import Pooled, inverse_root
from unspool.study.calibration.shared_prior import SharedPrior
from unspool.study.calibration.types import TERMS, Array

WIDER = 100.0  # times the prior's sd: as good as none, and the matrix still inverts
_LEAST_WEIGHT = 1e-4  # cases below it change nothing


def data_only_sd(pooled: Pooled, shared: SharedPrior) -> Array:
    """(5,) standard deviation of each term in the order of TERMS, from the runs alone.

    The clock, and the errors of what was measured, keep what is known of them.
    """
    counts = pooled.weight > _LEAST_WEIGHT
    weight = pooled.weight[counts] / pooled.weight[counts].sum()
    told = pooled.information[counts] * np.outer(shared.sd, shared.sd)
    variance = [weight @ _variance(told, which, shared) for which in range(len(TERMS))]
    return np.asarray(shared.terms.sd * np.sqrt(variance))


def _variance(told: Array, which: int, shared: SharedPrior) -> Array:
    believed = shared.precision.copy()
    widened = np.flatnonzero(~shared.terms.vouched | (np.arange(len(TERMS)) == which))
    believed[widened, widened] = WIDER**-2.0
    root, _ = inverse_root(told + believed)
    return np.asarray(np.sum(root[:, which] ** 2, axis=-1))
