"""What is known beforehand of all that the runs share: losses, the car file's errors, the floor."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from unspool.study.calibration.priors import CLOCK_SD, Prior
from unspool.study.calibration.types import TERMS, Array

# Of a floor, rise over way: a coefficient of its spline, and from its first point to its last.
# Floors are laid level to some millimetres a metre, and bend more than that within one (common
# practice).
SLOPE_SD, MEAN_SLOPE_SD = 0.03, 0.003
CLOCK = len(TERMS)


@dataclass(frozen=True)
class SharedPrior:
    """A Gaussian over terms, errors in units of their sd, and slopes: mean and sd (s,), and the
    inverse covariance (s, s) in units of these sds.

    errors: how many; the rest are slopes.
    """

    terms: Prior
    mean: Array
    sd: Array
    precision: Array
    errors: int

    @classmethod
    def of(cls, prior: Prior, errors: int, mean_slope: Array) -> SharedPrior:
        """mean_slope: (slopes,) how each makes an unknown floor's mean slope; or none."""
        slopes = len(mean_slope)
        mean = np.concatenate([prior.mean, np.zeros(errors + slopes)])
        sd = np.concatenate([prior.sd, np.ones(errors), np.full(slopes, SLOPE_SD)])
        precision = np.eye(len(sd))
        if slopes:
            share = np.zeros(len(sd))
            share[len(sd) - slopes :] = SLOPE_SD / MEAN_SLOPE_SD * mean_slope
            precision += np.outer(share, share)
        return cls(prior, mean, sd, precision, errors)

    def start(self) -> Array:
        """(s,) where a search starts."""
        start = self.mean.copy()
        start[: len(TERMS)] = self.terms.start
        return start

    def with_terms(self, terms: Prior) -> SharedPrior:
        """With another prior of the terms."""
        mean, sd, k = self.mean.copy(), self.sd.copy(), len(TERMS)
        mean[:k], sd[:k] = terms.mean, terms.sd
        return replace(self, terms=terms, mean=mean, sd=sd)

    def with_clock(self) -> SharedPrior:
        """With the rate of the board's clock after the terms."""
        precision = np.insert(np.insert(self.precision, CLOCK, 0.0, axis=0), CLOCK, 0.0, axis=1)
        precision[CLOCK, CLOCK] = 1.0
        mean, sd = np.insert(self.mean, CLOCK, 0.0), np.insert(self.sd, CLOCK, CLOCK_SD)
        return SharedPrior(self.terms, mean, sd, precision, self.errors)
