"""One run in the joint fit: what of it is shared with the others, and what is its own.

Its own are the shares by which its resistance, drag area and efficiency differ from the shared
ones, then turns that were miscounted, the catch, and the launch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.study.calibration.car_model import DRAG_AREA, DRIVE, FORCES, LINEAR_DRAG, RESISTANCE
from unspool.study.calibration.run_model import RunModel
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    TERMS,
    Array,
)
from unspool.study.calibration.way_out import WayOut

# By which share a run's resistance, drag area and efficiency may differ from the shared ones.
OWN = (RESISTANCE, DRAG_AREA, DRIVE)
OWN_SD = np.array([0.05, 0.03, 0.05])
OPEN_SD = 1.0  # of an efficiency of which nothing is believed
_LAUNCH_SD_S = 1e3  # as good as none


@dataclass(frozen=True)
class JointRun:
    """A run's model and what its fit starts from; forces (FORCES,) from energy alone.

    drive_open: its drive was not the one that the winding gives. area_ratio: its drag area over
    the reference car's. `shared` is (s,): losses in the order of TERMS, errors in units of their
    sd, slopes. `own` is (o,).
    """

    model: RunModel
    forces: Array
    drive_open: bool = False
    area_ratio: float = 1.0

    @property
    def own_sd(self) -> Array:
        """(o,) of what is known beforehand of its own."""
        sd = np.ones(len(OWN) + self.model.layout.tiers + 2)
        sd[: len(OWN)] = OWN_SD
        if self.drive_open:
            sd[OWN.index(DRIVE)] = OPEN_SD
        sd[-1] = _LAUNCH_SD_S
        return sd

    def weight_n(self, errors: Array) -> float:
        """The car's weight under these errors."""
        z = np.zeros((1, self.model.layout.count))
        z[0, self.model.layout.error] = errors
        return float(self.model.car.total_kg(z)[0]) * STANDARD_GRAVITY

    def _errors(self, shared: Array) -> Array:
        return shared[len(TERMS) : len(TERMS) + self.model.layout.errors]

    def expected(self, shared: Array) -> Array:
        """(k,) forces, errors and slopes if nothing of its own differs."""
        weight = self.weight_n(self._errors(shared))
        forces = np.empty(FORCES)
        forces[RESISTANCE] = shared[ROLLING] * weight + shared[CONSTANT]
        forces[LINEAR_DRAG], forces[DRIVE] = shared[LINEAR], shared[EFFICIENCY]
        forces[DRAG_AREA] = self.area_ratio * shared[DRAG]
        return np.concatenate([forces, shared[len(TERMS) :]])

    def design(self, shared: Array) -> Array:
        """(k, s) derivatives of `expected`."""
        extra, k = len(shared) - len(TERMS), len(TERMS)
        a = np.zeros((FORCES + extra, len(shared)))
        errors = self._errors(shared)
        weight = self.weight_n(errors)
        a[RESISTANCE, ROLLING], a[RESISTANCE, CONSTANT] = weight, 1.0
        for j, unit in enumerate(np.eye(len(errors))):
            heavier = self.weight_n(errors + unit) - weight
            a[RESISTANCE, k + j] = shared[ROLLING] * heavier
        a[LINEAR_DRAG, LINEAR], a[DRIVE, EFFICIENCY] = 1.0, 1.0
        a[DRAG_AREA, DRAG] = self.area_ratio
        a[FORCES:, k:] = np.eye(extra)
        return a

    def unknowns(self, shared: Array, own: Array) -> Array:
        """(count,) everything that the run's model takes."""
        z = np.concatenate([self.expected(shared), own[len(OWN) :]])
        z[list(OWN)] *= np.exp(own[: len(OWN)])
        return z

    def columns(
        self, shared: Array, own: Array, ways: WayOut | None = None
    ) -> tuple[Array, Array, Array]:
        """Residuals (n,), and their derivatives by shared (n, s) and own (n, o).

        ways: as RunModel.linear takes them.
        """
        z, k = self.unknowns(shared, own), self.model.layout.shared
        value, by_z = self.model.linear(z, ways)
        scale = np.ones(k)
        scale[list(OWN)] = np.exp(own[: len(OWN)])
        by_shared = by_z[:, :k] @ (scale[:, None] * self.design(shared))
        by_own = np.hstack([by_z[:, list(OWN)] * z[list(OWN)], by_z[:, k:]])
        return value, by_shared, by_own
