"""Where the model's car is at given times, for losses that a fit tries out."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.params import Params
from unspool.model.simulate import Simulation, simulate
from unspool.model.timeline import PlacedSegment
from unspool.study.calibration.types import Array

KNOTS = 40  # a leg; cubic between them, wrong by less than 1e-6 of the leg


# The places of a run's forces in every array over them.
RESISTANCE, DRAG_AREA, DRIVE = range(3)
FORCES = 3


@dataclass(frozen=True)
class Force:
    """What one run can show: resistance at rest on the level in N, drag area in m2, efficiency."""

    resistance_n: float
    drag_area_m2: float
    efficiency: float

    def in_machine(self, machine: Params, air_density: float) -> Params:
        """`machine` with these; it holds on at rest no harder than it rolls."""
        rolling = self.resistance_n / (machine.total_kg * STANDARD_GRAVITY)
        return replace(
            machine,
            rolling=rolling,
            break_away=rolling,
            constant_n=0.0,
            drag_kg_m=0.5 * air_density * self.drag_area_m2,
            efficiency=self.efficiency,
        )


def places(machine: Params, time_s: Array) -> tuple[Array, Array]:
    """Distance in m and speed in m/s on the way out, (n,) each, at rising times from the launch.

    Still at the launch before it, and at the furthest point after it.
    """
    run = simulate(machine)
    x, v = np.zeros_like(time_s), np.zeros_like(time_s)
    out = _way_out(run)
    ends = [placed.t0_s + placed.segment.time_s for placed in out]
    bounds = np.searchsorted(time_s, [0.0, *ends], side="right")
    for placed, begin, end in zip(out, bounds, bounds[1:], strict=False):
        if end > begin:
            x[begin:end], v[begin:end] = _within(placed, time_s[begin:end])
    x[bounds[-1] :] = out[-1].x1_m if out else 0.0
    return x, v


def _way_out(run: Simulation) -> list[PlacedSegment]:
    out: list[PlacedSegment] = []
    for placed in run.segments:
        if placed.direction < 0:
            break
        out.append(placed)
    return out


def _within(placed: PlacedSegment, time_s: Array) -> tuple[Array, Array]:
    """Cubic Hermite interpolation, which knows the speeds at the knots."""
    t, s, v = placed.segment.samples(KNOTS)
    since = np.clip(time_s - placed.t0_s, 0.0, t[-1])
    i = np.clip(np.searchsorted(t, since, side="right") - 1, 0, KNOTS - 2)
    width = np.maximum(t[i + 1] - t[i], 1e-15)
    h = (since - t[i]) / width
    left, right = v[i] * width, v[i + 1] * width
    step = s[i + 1] - s[i]
    bend, twist = 3.0 * step - 2.0 * left - right, left + right - 2.0 * step
    place = s[i] + h * (left + h * (bend + h * twist))
    speed = (left + h * (2.0 * bend + 3.0 * h * twist)) / width
    return placed.x0_m + place, speed
