"""The edges of a run's way out, as the fit sees them: which boundary passed when."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car
from unspool.reading.motion import Motion
from unspool.study.calibration.types import Array

FEWEST = 12
# Noise of an edge: its place (play of axle and disc) and its stamp. Only their ratio matters here,
# the fit finds the size.
PLACE_SLOTS = 0.002
JITTER_S = 50e-6


@dataclass(frozen=True)
class Edges:
    """All (n,), in time order: seconds from the launch that the edges show, boundaries counted
    from the first edge, speed in m/s, sd of the edge's place in slots before the fit scales it.
    """

    time_s: Array
    boundary: NDArray[np.int64]
    speed_m_s: Array
    sd_slots: Array
    pulses: int
    pitch_m: float

    def __len__(self) -> int:
        return len(self.time_s)


def edges_of(motion: Motion, car: Car) -> Edges:
    """The way out, from the first edge to the furthest; a roll-back tells of other things."""
    out, pitch = slice(0, motion.way_out), car.metres_per_edge
    speed = np.abs(motion.speed_m_s[out])
    return Edges(
        time_s=motion.time_s[out] - motion.launch_s,
        boundary=motion.slot[out],
        speed_m_s=speed,
        sd_slots=np.hypot(PLACE_SLOTS, speed * JITTER_S / pitch),
        pulses=car.encoder.pulses_per_turn,
        pitch_m=pitch,
    )
