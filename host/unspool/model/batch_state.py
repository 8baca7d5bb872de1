"""Where many runs stand while they are simulated side by side."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.model import forces, limits
from unspool.model.batch_params import BatchParams
from unspool.model.number import Flags, Floats, Indices
from unspool.model.states import StringState


class BatchState:
    """(n,) arrays, one entry a run. x, v, t and the weight's fall mean what a Simulation's do.

    Totals follow each run: its furthest point, peak speed, energies and largest tension, and its
    least traction and tipping margins, which are infinite if nothing was asked of them.
    `release_m` and `mark_s` are NaN until they happen. `live` holds the indices of the runs that
    still move.
    """

    def __init__(self, params: BatchParams, mark_m: float | None) -> None:
        n = len(params)
        self.params, self.mark_m = params, mark_m
        self.x, self.v, self.t = np.zeros(n), np.zeros(n), np.zeros(n)
        self.direction = np.ones(n)
        self.fallen_m, self.weight_speed = np.zeros(n), np.zeros(n)
        self.string: NDArray[np.int8] = np.full(n, StringState.TAUT, dtype=np.int8)
        self.tier: Indices = np.zeros(n, dtype=np.intp)
        self.last_rest_m = np.full(n, -np.inf)
        self.never_stops: Flags = np.zeros(n, dtype=np.bool_)
        self.furthest_m, self.peak_speed = np.zeros(n), np.zeros(n)
        self.release_m, self.mark_s = np.full(n, np.nan), np.full(n, np.nan)
        self.rolling_j, self.air_j, self.drive_j = np.zeros(n), np.zeros(n), np.zeros(n)
        self.catches_j, self.landing_j = np.zeros(n), np.zeros(n)
        self.tension_n = limits.hanging_pull(params.weight_kg, np.zeros(n))
        self.traction, self.tipping = np.full(n, np.inf), np.full(n, np.inf)
        self.start_margin = params.start_margin()
        self.live: Indices = np.flatnonzero(self.start_margin > 1.0)

    def gravity(self, row: Indices) -> Floats:
        """Acceleration in m/s2 of the runs' weights while they fall by themselves."""
        return forces.free_fall(self.params.weight_kg[row], self.params.hanging_kg[row])

    def fallen_after(self, row: Indices, time_s: Floats) -> Floats:
        """Fall in m of the runs' weights after they fell by themselves for that time."""
        speed = self.weight_speed[row] + 0.5 * self.gravity(row) * time_s
        return self.fallen_m[row] + speed * time_s

    def lever(self, row: Indices) -> Floats:
        return self.params.tiers.lever[row, self.tier[row]]
