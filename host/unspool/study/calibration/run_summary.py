"""What one run says of what all share: a root of its information and a rest hold all of it.

Around the fit, the edges' likelihood is a quadratic (Fisher's sufficient summary). Pooling runs
goes on with those alone. They are square roots: edges are so sharp that a matrix of their squares
would lose what they hardly show.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.model.number import Indices
from unspool.study.calibration.car_model import DRIVE
from unspool.study.calibration.edge_weights import EdgeWeights
from unspool.study.calibration.joint_run import OPEN_SD, OWN, JointRun
from unspool.study.calibration.types import Array


@dataclass(frozen=True)
class RunSummary:
    """A run's own turns, catch and launch are integrated out.

    Near `at` (k,), its forces, errors and slopes, minus twice the log-likelihood is a constant and
    the square of root (z - at) + rest, with root (r, k) and rest (r,).

    - design: (k, shared) their derivatives by what is shared, at the fit.
    - expected: (k,) them without the run's own differences.
    - rms_slots: what the edges are off the model by.
    - turns, turns_sd: (t,) those of each wound tier as the run shows them.
    - shows: whether the edges show anything of the forces.
    """

    at: Array
    root: Array
    rest: Array
    design: Array
    expected: Array
    rms_slots: float
    turns: Array
    turns_sd: Array
    shows: bool


def summarise(run: JointRun, shared: Array, own: Array, weights: EdgeWeights) -> RunSummary:
    """The run's summary around this fit."""
    at, z = run.model.layout, run.unknowns(shared, own)
    value, by_z = run.model.linear(z)
    white = weights.whitened(np.column_stack([value, by_z]))
    # Nobody's loss: turns and catch with their priors, the launch's time without one.
    out, sd, centre = np.arange(at.shared, at.count), run.own_sd[len(OWN) :], z[at.shared :]
    if run.drive_open:
        out, sd, centre = np.r_[out, DRIVE], np.r_[sd, OPEN_SD], np.r_[centre, 0.0]
    kept = np.setdiff1d(np.arange(at.count), out)
    inner, rest, covariance = integrated_out(white[:, 1:], white[:, 0], out, kept, sd, centre)
    root = np.zeros((len(rest), at.shared))
    root[:, kept] = inner
    misplaced = weights.projection.misplaced(value)[weights.kept]
    car = run.model.car
    return RunSummary(
        at=z[: at.shared],
        root=root,
        rest=rest,
        design=run.design(shared),
        expected=run.expected(shared),
        rms_slots=float(np.sqrt(np.mean(misplaced**2))),
        turns=car.turns(z),
        turns_sd=car.turns_sd * np.sqrt(np.diag(covariance)[: at.tiers]),
        shows=bool(np.any(white[:, 1 + at.launch])),
    )


def integrated_out(
    columns: Array, r: Array, out: Indices, kept: Indices, sd: Array, centre: Array
) -> tuple[Array, Array, Array]:
    """What is left of r + columns x step, unknowns `out` integrated out under priors of these sds.

    centre: how far the unknowns `out` now are from their priors' means. Returns a root of the
    information on the kept, (k, k), the residual (k,) that belongs to it, and the covariance of the
    others. By a QR decomposition: the normal equations lose the digits.
    """
    prior = np.zeros((len(out), columns.shape[1]))
    prior[:, out] = np.diag(1.0 / sd)
    rows = np.vstack([np.column_stack([columns, r]), np.column_stack([prior, centre / sd])])
    triangle: Array = np.linalg.qr(rows[:, np.r_[out, kept, columns.shape[1]]])[1]
    n, k = len(out), len(kept)
    inverse = np.linalg.inv(triangle[:n, :n])
    inner = triangle[n : n + k, n:]
    return inner[:, :k], inner[:, k], inverse @ inverse.T
