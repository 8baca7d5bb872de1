"""Motion: what the wheel did, edge by edge, with how sure we are of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.pulses.train import PulseTrain


@dataclass(frozen=True)
class Motion:
    """Distance, speed and acceleration at the edges that belong to the run.

    All arrays are (n,) over the edges used, in time order; distance_m is 0 at the launch and falls
    while the car rolls back. pitch is (pulses_per_turn,), mean 1: each slot's share of the even
    pitch.
    """

    train: PulseTrain
    used: NDArray[np.intp]  # indices into train
    time_s: NDArray[np.float64]
    distance_m: NDArray[np.float64]
    speed_m_s: NDArray[np.float64]
    speed_sd_m_s: NDArray[np.float64]
    acceleration_m_s2: NDArray[np.float64]
    acceleration_sd_m_s2: NDArray[np.float64]
    pitch: NDArray[np.float64]
    launch_s: float
    stop_s: float  # extrapolated past the last edge
    stop_m: float
    ignored: int  # edges put aside as chatter or handling
    missing: int  # edges lost, by number or by time
    chatter: int  # of the ignored, those that look like sensor chatter
    handled: int  # of the ignored, those that a hand made before the launch
