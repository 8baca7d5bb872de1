"""Runs pooled: the losses that they share, the scatter between them, and the run that is odd.

Run i has its own forces, and the errors and slopes that all runs share: z_i = A_i t + u_i. There t
are the shared losses, the clock's rate, the errors of the car file and the floor's slopes. And u_i
is what differs from run to run, Gaussian with sd `scatter` as a share of three of the forces.
With the runs' summaries quadratic, all of it is linear and Gaussian for a given scatter. The
scatter is summed over a grid, and so are the cases "all runs are alike" and "run i went otherwise".
This is a random-effects model (DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177),
here in its Bayesian form.

The clock counts: seconds too many by k make every force seem smaller by 2 k, a linear drag by k,
the drag area not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from unspool.model.number import Indices
from unspool.study.calibration.car_model import DRIVE, LINEAR_DRAG, RESISTANCE
from unspool.study.calibration.joint_fit import JointFit
from unspool.study.calibration.joint_run import OWN
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.run_summary import RunSummary
from unspool.study.calibration.shared_prior import CLOCK, SharedPrior
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    Array,
)

EXTRA = CLOCK + 1  # errors and slopes come after it
# Shares by which resistance, drag area and efficiency may differ from run to run, every one with
# every other. How likely each is beforehand: usual, and within a factor of it up or down (as one
# sd). Common practice: repeats of one winding agree within a few per cent. How much better a
# careful builder's agree is left to the runs, down to what no floor and no string keeps.
_STEPS = np.geomspace(2e-4, 0.08, 7)
SCATTERS = np.stack(np.meshgrid(_STEPS, _STEPS, _STEPS), axis=-1).reshape(-1, 3)
USUAL_SCATTER, FACTOR_UP, FACTOR_DOWN = np.array([0.007, 0.004, 0.0035]), 4.0, 8.0
# A run that went otherwise did so in its drive, its resistance, or both; by such a share.
ODD_SCATTER = 0.3
ODD_IN = ((0, 1, 2), (0,), (2,))  # places in OWN
ODD_BEFOREHAND = 0.05  # assumed: one run in twenty goes otherwise
_NEGLIGIBLE = 20.0  # by so much in the log of its evidence, a scatter is as good as impossible
FEWEST_TO_JUDGE = 3  # of two that differ, either may be the odd one


# Terms first, those at a bound before the others: draws within the bounds take them in this order.
DRAWN = (CONSTANT, LINEAR, DRAG, EFFICIENCY, ROLLING)


@dataclass(frozen=True)
class Pooled:
    """Gaussians over what is shared, one a case (c). They have weight (c,), mean (c, s), scatter
    (c, 3) and a factor (c, s, s), lower triangular, whose square is the covariance in the order
    `drawn`. The information (c, s, s) is what the runs add to the prior's inverse covariance. The
    odd (n,) are the probabilities that a run went otherwise.
    """

    weight: Array
    mean: Array
    factor: Array
    scatter: Array
    information: Array
    odd: Array

    @property
    def centre(self) -> Array:
        return np.asarray(self.weight @ self.mean)


def drawn(size: int) -> Indices:
    """(s,) DRAWN, then errors and slopes, the clock last."""
    return np.asarray(np.r_[DRAWN, EXTRA:size, CLOCK], dtype=np.intp)


def pool(fit: JointFit, shared: SharedPrior) -> Pooled:
    """What the runs of this fit show together; the prior is one with the clock."""
    centre = np.insert(fit.shared, CLOCK, 0.0)
    even = [share_of(run, SCATTERS) for run in fit.runs]
    cases = [even]
    if len(even) >= FEWEST_TO_JUDGE:
        cases += [
            [*even[:i], share_of(run, _odd_scatter(which)), *even[i + 1 :]]
            for i, run in enumerate(fit.runs)
            for which in ODD_IN
        ]
    beforehand = np.full(len(cases), np.log(ODD_BEFOREHAND / (1.0 - ODD_BEFOREHAND) / len(ODD_IN)))
    beforehand[0] = 0.0
    solved = [
        _solve(case, shared, centre, float(log))
        for case, log in zip(cases, beforehand, strict=True)
    ]
    log = np.concatenate([one.log for one in solved])
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    which = np.repeat(np.arange(len(cases)), [len(one.log) for one in solved])
    by_case = np.bincount(which, weight, len(cases))
    odd = by_case[1:].reshape(-1, len(ODD_IN)).sum(axis=1)
    return Pooled(
        weight=weight,
        mean=np.concatenate([one.mean for one in solved]),
        factor=np.concatenate([one.factor for one in solved]),
        scatter=np.concatenate([one.scatter for one in solved]),
        information=np.concatenate([one.information for one in solved]),
        odd=odd if len(odd) else np.zeros(len(even)),
    )


def log_possible(mean: Array, factor: Array, prior: Prior) -> Array:
    """Log of the share of each Gaussian, (..., s) and (..., s, s), that is within the bounds; the
    terms as if independent.
    """
    terms = list(DRAWN)
    sd = np.sqrt(np.sum(factor[..., : len(terms), :] ** 2, axis=-1))
    low = (prior.lower[terms] - mean[..., terms]) / sd
    high = (prior.upper[terms] - mean[..., terms]) / sd
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
class Share:
    """What a run adds, its own part integrated out, for each scatter (c, 3): precision (c, s, s),
    score (c, s), log of the likelihood (c,) except for a constant.
    """

    precision: Array
    score: Array
    log: Array


def design_with_clock(run: RunSummary) -> Array:
    """(k, s) what moves a run's forces, errors and slopes."""
    clock = np.zeros(len(run.at))
    clock[[RESISTANCE, DRIVE]] = -2.0 * run.expected[[RESISTANCE, DRIVE]]
    clock[LINEAR_DRAG] = -run.expected[LINEAR_DRAG]
    return np.insert(run.design, CLOCK, clock, axis=1)


def share_of(run: RunSummary, scatter: Array) -> Share:
    """What this run adds if runs scatter so.

    The scatter adds variance along three directions of the root's rows alone. There it takes from
    what the run shows; across them all of it stays.
    """
    own = list(OWN)
    along, r = np.linalg.qr(run.root[:, own])  # (r, 3), (3, 3)
    columns = run.root @ design_with_clock(run)
    miss = run.root @ (run.expected - run.at) + run.rest
    in_plane, miss_in_plane = along.T @ columns, along.T @ miss
    columns, miss = columns - along @ in_plane, miss - along @ miss_in_plane
    variance = (scatter * np.maximum(np.abs(run.expected[own]), 1e-6)) ** 2
    inflated = np.eye(3) + (r * variance[:, None, :]) @ r.T  # (c, 3, 3)
    kept = np.linalg.inv(inflated)
    precision = columns.T @ columns + in_plane.T @ kept @ in_plane
    lost = kept @ miss_in_plane
    score = -columns.T @ miss - lost @ in_plane
    log = -0.5 * lost @ miss_in_plane - 0.5 * np.linalg.slogdet(inflated)[1]
    return Share(precision, score, log)


@dataclass(frozen=True)
class _Solved:
    """Log evidence (c,), mean (c, s), factor and information (c, s, s), scatter (c, 3), as in
    Pooled. Only those that count are kept: a long floor's matrices are large.
    """

    log: Array
    mean: Array
    factor: Array
    information: Array
    scatter: Array


def _solve(
    shares: Sequence[Share], shared: SharedPrior, centre: Array, beforehand: float
) -> _Solved:
    """All scatters of one case; beforehand: the log of how likely the case is before any run."""
    # In units of the prior's sd, where the numbers are of one size.
    sd, order = shared.sd, drawn(len(shared.sd))
    information = sum((one.precision for one in shares[1:]), shares[0].precision)
    precision = shared.precision + np.outer(sd, sd) * information
    score = shared.precision @ ((shared.mean - centre) / sd)
    score = score + sd * sum((one.score for one in shares[1:]), shares[0].score)
    factor, log_determinant = inverse_root(precision[:, order[:, None], order])
    towards = np.swapaxes(factor, 1, 2) @ score[:, order, None]
    mean = np.tile(centre, (len(score), 1))
    mean[:, order] += sd[order] * (factor @ towards)[..., 0]
    log = 0.5 * np.sum(towards[..., 0] ** 2, axis=1) - 0.5 * log_determinant
    log = log + sum((one.log for one in shares[1:]), shares[0].log)
    log, factor = log + _likely(SCATTERS) + beforehand, sd[order, None] * factor
    # What is impossible is no evidence: a case counts by the part of it that is within the bounds.
    log = log + log_possible(mean, factor, shared.terms)
    kept = log > log.max() - _NEGLIGIBLE
    return _Solved(log[kept], mean[kept], factor[kept], information[kept], SCATTERS[kept])


def inverse_root(precision: Array) -> tuple[Array, Array]:
    """(c, s, s) lower triangular, whose square is the inverse of (c, s, s), and the log of the
    determinant of these.

    Triangles are inverted to the last digit; an inverse that sharp edges made has none to spare.
    """
    upper = np.linalg.cholesky(precision[:, ::-1, ::-1])
    log = 2.0 * np.sum(np.log(np.diagonal(upper, axis1=1, axis2=2)), axis=1)
    return np.swapaxes(np.linalg.inv(upper), 1, 2)[:, ::-1, ::-1], log
