"""One run as a function of everything that is unknown of it: where each edge should be.

Edge k is boundary b_k of the disc, passing at t_k. With X the model's way from the launch at t_0
and d the way of a slot,

    b_k + s_j - X(t_k - t_0) / d = noise,   j = b_k mod P.

The slots' places s and the way rolled before the first edge are linear and drop out by projection
(variable projection).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.reading.edges.noise import USUAL_JITTER_S, USUAL_PLACE_SLOTS, EdgeNoise
from unspool.reading.edges.slot_pattern import SLOT_SD, PatternProjection
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.motion import Motion
from unspool.study.calibration.car_errors import CarError
from unspool.study.calibration.car_model import FORCES, CarModel, Layout, turns_sd
from unspool.study.calibration.floor import Floor
from unspool.study.calibration.types import Array
from unspool.study.calibration.way_out import WayOut, way_out

# Only the ratio of its two parts matters here: the fit finds the size.
EDGE_NOISE = EdgeNoise(USUAL_PLACE_SLOTS, USUAL_JITTER_S)
# For derivatives: far above rounding, far below any error. Shares, and units of an unknown.
_FORCE_STEP, _LEAST_FORCE = 1e-4, np.array([1e-3, 1e-3, 2e-3, 0.1])
_ERROR_STEP, _SLOPE_STEP, _OWN_STEP = 0.02, 1e-5, 0.01


@dataclass(frozen=True)
class RunModel:
    """A run's edges on the way out, their speeds (n,), and the car that made them.

    The edges' times count from the launch that the reading found.
    """

    edges: WheelEdges
    speed_m_s: Array
    car: CarModel

    @classmethod
    def of(
        cls,
        motion: Motion,
        car: Car,
        track: Track,
        errors: tuple[CarError, ...] = (),
        floor: Floor | None = None,
        counted: bool = False,
        begin_m: float = 0.0,
    ) -> RunModel:
        """The edges from begin_m on: from the first one if that is 0."""
        beyond = motion.distance_m[: motion.way_out] >= begin_m
        first = int(np.argmax(beyond)) if begin_m > 0.0 else 0
        out = slice(first, motion.way_out if beyond.any() else first)
        edges = WheelEdges(
            time_s=motion.time_s[out] - motion.launch_s,
            boundary=motion.slot[out],
            pulses=car.encoder.pulses_per_turn,
            pitch_m=car.metres_per_edge,
        )
        wound = turns_sd(car, counted)
        model = CarModel(car, track.air_density_kg_m3, floor or Floor.of(track), errors, wound)
        return cls(edges, np.abs(motion.speed_m_s[out]), model)

    @property
    def layout(self) -> Layout:
        return self.car.layout

    def residuals(self, z: Array, way_of: WayOut | None = None) -> tuple[Array, Array]:
        """Boundaries less the model's way, in slots, and the model's speed in slots/s; (v, n).

        way_of: the ways of these variants, if they are known already.
        """
        since = self.edges.time_s - z[:, self.layout.launch, None]
        way, speed = (way_of or way_out(self.car.variants(z))).at(since)
        pitch = self.car.pitch_m(z)[:, None]
        return self.edges.boundary - way / pitch, speed / pitch

    def moved(self, z: Array) -> Array:
        """(v, count) what `linear` compares: unknowns (count,), and each of them moved in turn."""
        every = np.vstack([z, z + np.diag(self._steps(z))])
        return np.delete(every, self.layout.launch + 1, axis=0)

    def linear(self, z: Array, ways: WayOut | None = None) -> tuple[Array, Array]:
        """Residuals (n,) at unknowns (count,), and their derivatives by all of them, (n, count).

        ways: of all that is `moved`, if they are known already.
        """
        steps, launch = self._steps(z), self.layout.launch
        off, speed = self.residuals(self.moved(z), ways)
        value = off[0]
        columns = np.empty((len(value), len(z)))
        others = np.delete(np.arange(len(z)), launch)
        columns[:, others] = ((off[1:] - value) / steps[others, None]).T
        columns[:, launch] = speed[0]
        return value, columns

    def _steps(self, z: Array) -> Array:
        at = self.layout
        steps = np.full(at.count, _OWN_STEP)
        steps[:FORCES] = _FORCE_STEP * np.maximum(np.abs(z[:FORCES]), _LEAST_FORCE)
        steps[at.error], steps[at.slope] = _ERROR_STEP, _SLOPE_STEP
        return steps

    def weight(self) -> Array:
        """(n,) one over the variance of each edge's place, in slots, before the fit scales it."""
        return EDGE_NOISE.weight(self.speed_m_s / self.edges.pitch_m)

    def projection(self, kept: NDArray[np.bool_]) -> PatternProjection:
        """Eliminates pattern and origin; edges that are not kept have no weight."""
        weight = np.where(kept, self.weight(), 0.0)
        return PatternProjection.of(self.edges.slot, self.edges.pulses, weight, SLOT_SD)
