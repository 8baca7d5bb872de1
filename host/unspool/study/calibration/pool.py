"""Runs pooled: the losses that they share, the scatter between them, and the run that is odd.

Run i has its own forces f_i = A_i t + u_i. There t (5,) are the shared losses with the clock's
rate. And u_i is what differs from run to run, Gaussian with sd `scatter` as a share of each force.
With the runs' summaries quadratic, all of it is linear and Gaussian for a given scatter. The
scatter is summed over a grid, and so are the cases "all runs are alike" and "run i went otherwise".
This is a random-effects model (DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177),
here in its Bayesian form.

The clock counts: seconds too many by k make every force seem smaller by 2 k, the drag area not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.study.calibration.priors import CLOCK_SD, Prior
from unspool.study.calibration.run_fit import RunFit
from unspool.study.calibration.trajectory import DRAG_AREA, DRIVE, FORCES, RESISTANCE
from unspool.study.calibration.types import CONSTANT, DRAG, EFFICIENCY, ROLLING, TERMS, Array

CLOCK = len(TERMS)
SHARED = CLOCK + 1
# Shares by which resistance, drag area and efficiency may differ from run to run, every one with
# every other. How likely each is beforehand: usual, and within a factor of it up or down (as one
# sd). Common practice: repeats of one winding agree within a few per cent. How much better a
# careful builder's agree is left to the runs, down to what no floor and no string keeps.
_STEPS = np.geomspace(2e-4, 0.08, 7)
SCATTERS = np.stack(np.meshgrid(_STEPS, _STEPS, _STEPS), axis=-1).reshape(-1, 3)
USUAL_SCATTER, FACTOR_UP, FACTOR_DOWN = np.array([0.007, 0.004, 0.0035]), 4.0, 8.0
# A run that went otherwise did so in its drive, its resistance, or both; by such a share.
ODD_SCATTER = 0.3
ODD_IN = ((RESISTANCE, DRAG_AREA, DRIVE), (RESISTANCE,), (DRIVE,))
ODD_BEFOREHAND = 0.05  # assumed: one run in twenty goes otherwise
FEWEST_TO_JUDGE = 3  # of two that differ, either may be the odd one


@dataclass(frozen=True)
class RunSummary:
    """A run for the pool: its own fit, its mass, and its drag area over the reference car's."""

    fit: RunFit
    total_kg: float
    area_ratio: float = 1.0

    @property
    def design(self) -> Array:
        """A (3, 5): forces from shared losses."""
        a = np.zeros((FORCES, SHARED))
        a[RESISTANCE, ROLLING], a[RESISTANCE, CONSTANT] = self.total_kg * STANDARD_GRAVITY, 1.0
        a[DRAG_AREA, DRAG] = self.area_ratio
        a[DRIVE, EFFICIENCY] = 1.0
        for force in (RESISTANCE, DRIVE):
            a[force, CLOCK] = -2.0 * self.fit.force[force]
        return a


@dataclass(frozen=True)
class Pooled:
    """Gaussians over the shared losses, one a case (c). They have weight (c,), mean (c, 5),
    covariance (c, 5, 5), scatter (c, 3). The information (c, 5, 5) is what the runs add to the
    prior's inverse covariance. The odd (n,) are the probabilities that a run went otherwise.
    """

    weight: Array
    mean: Array
    covariance: Array
    scatter: Array
    information: Array
    odd: Array

    @property
    def centre(self) -> Array:
        return np.asarray(self.weight @ self.mean)


def pool(runs: Sequence[RunSummary], prior: Prior) -> Pooled:
    """The shared losses that these runs show."""
    # Gaussians far from 0 lose digits: the second round counts from where the first one ended.
    centre = np.r_[prior.mean, 0.0]
    for _ in range(2):
        pooled = _pool(runs, prior, centre)
        centre = pooled.centre
    return pooled


def _pool(runs: Sequence[RunSummary], prior: Prior, centre: Array) -> Pooled:
    even = [_share(run, centre, SCATTERS) for run in runs]
    cases = [even]
    if len(runs) >= FEWEST_TO_JUDGE:
        cases += [
            [*even[:i], _share(run, centre, _odd_scatter(which)), *even[i + 1 :]]
            for i, run in enumerate(runs)
            for which in ODD_IN
        ]
    solved = [_solve(case, prior, centre) for case in cases]
    log = np.array([one[0] for one in solved])
    log += _likely(SCATTERS)
    log[1:] += np.log(ODD_BEFOREHAND / (1.0 - ODD_BEFOREHAND) / len(ODD_IN))
    mean = np.stack([one[1] for one in solved])
    covariance = np.stack([one[2] for one in solved])
    # What is impossible is no evidence: a case counts by the part of it that is within the bounds.
    log += log_possible(mean, covariance, prior)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    odd = weight[1:].sum(axis=1).reshape(-1, len(ODD_IN)).sum(axis=1)
    return Pooled(
        weight=weight.ravel(),
        mean=mean.reshape(-1, SHARED),
        covariance=covariance.reshape(-1, SHARED, SHARED),
        scatter=np.tile(SCATTERS, (len(cases), 1)),
        information=np.concatenate([sum(one.precision for one in case) for case in cases]),
        odd=odd if len(odd) else np.zeros(len(runs)),
    )


def log_possible(mean: Array, covariance: Array, prior: Prior) -> Array:
    """Log of the share of each Gaussian, (..., 5) and (..., 5, 5), that is within the bounds; the
    terms as if independent.
    """
    sd = np.sqrt(np.diagonal(covariance, axis1=-2, axis2=-1)[..., :CLOCK])
    low, high = (prior.lower - mean[..., :CLOCK]) / sd, (prior.upper - mean[..., :CLOCK]) / sd
    return np.asarray(log_share(low, high).sum(axis=-1))


def log_share(low: Array, high: Array) -> Array:
    """Log of the normal's probability between low and high, exact in its tails."""
    flip = low > 0.0
    a, b = np.where(flip, -high, low), np.where(flip, -low, high)
    upper, lower = log_ndtr(b), log_ndtr(a)
    return np.asarray(upper + np.log1p(-np.exp(np.minimum(lower - upper, -1e-16))))


def _odd_scatter(which: Sequence[int]) -> Array:
    scatter = SCATTERS.copy()
    scatter[:, which] = ODD_SCATTER
    return scatter


def _likely(scatter: Array) -> Array:
    """Log of how likely each scatter (s, 3) is before any run."""
    z = np.log(scatter / USUAL_SCATTER)
    z /= np.log(np.where(z > 0.0, FACTOR_UP, FACTOR_DOWN))
    return np.asarray(-0.5 * np.sum(z * z, axis=1))


@dataclass(frozen=True)
class _Share:
    """What a run adds, its own part integrated out, for each scatter (s, 3): precision (s, 5, 5),
    score (s, 5), log of the likelihood (s,) except for a constant.
    """

    precision: Array
    score: Array
    log: Array


def _share(run: RunSummary, centre: Array, scatter: Array) -> _Share:
    a, fit = run.design, run.fit
    own = (scatter * np.maximum(fit.force, 1e-6)) ** 2
    inflated = np.eye(3) + fit.information * own[:, None, :]  # I + H S
    score = fit.score + fit.information @ (fit.force - a @ centre)
    precision = np.linalg.solve(inflated, np.broadcast_to(fit.information, inflated.shape))
    reduced = np.linalg.solve(inflated, np.broadcast_to(score[:, None], (len(own), 3, 1)))[..., 0]
    log = 0.5 * np.sum(own * score * reduced, axis=1) - 0.5 * np.linalg.slogdet(inflated)[1]
    return _Share(a.T @ precision @ a, reduced @ a, log)


def _solve(shares: Sequence[_Share], prior: Prior, centre: Array) -> tuple[Array, Array, Array]:
    """Log evidence (s,), mean (s, 5) and covariance (s, 5, 5)."""
    sd = np.r_[prior.sd, CLOCK_SD]
    # In units of the prior's sd, where the numbers are of one size.
    unit = np.outer(sd, sd)
    precision = np.eye(SHARED) + unit * sum(share.precision for share in shares)
    start = (np.r_[prior.mean, 0.0] - centre) / sd
    score = start + sd * sum(share.score for share in shares)
    mean = np.linalg.solve(precision, score[..., None])[..., 0]
    log = 0.5 * np.sum(score * mean, axis=1) - 0.5 * np.linalg.slogdet(precision)[1]
    log += sum(share.log for share in shares)
    return log, centre + sd * mean, unit * np.linalg.inv(precision)
