"""Motion: what the wheel did, edge by edge, with how sure we are of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.pulse_train import PulseTrain


@dataclass(frozen=True)
class Motion:
    """Distance, speed and acceleration at the edges that belong to the run.

    All arrays are (n,) over the edges used, in time order. The distance_m is 0 at the launch and
    falls while the car rolls back. The pitch is (pulses_per_turn,), mean 1: each slot's share of
    the even pitch. The slot is the boundary that each edge is, counted from the first one used. The
    legs are how many edges each leg has. The first is the way out, from the launch to furthest_s
    and furthest_m. Then come the ways back and forth of a car that rolls back. Both launch_seen and
    stop_seen are False if the edges do not show a rest there. The count uncertain is of gaps
    bridged without being sure of the number of edges lost. The number spun is how many edges at the
    start a slipping wheel made: the way until the last of them is the wheel's, not the car's. The
    jitter_s is None if too few edges show it. Without any edge the launch, the furthest point and
    the stop are all at the first edge of the train.
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
    furthest_s: float
    furthest_m: float
    ignored: int  # edges put aside as chatter or handling
    missing: int  # edges lost, by number or by time
    chatter: int  # of the ignored, those that look like sensor chatter
    handled: int  # of the ignored, those that a hand made before the launch
    slot: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    legs: tuple[int, ...] = ()
    launch_seen: bool = True
    stop_seen: bool = True
    uncertain: int = 0
    jitter_s: float | None = None
    spun: int = 0

    @property
    def measures_distance(self) -> bool:
        """Whether it shows a launch and a stop: only then is stop_m the run's distance."""
        return self.stop_seen and not self.train.lost_before

    @property
    def rolled(self) -> Motion:
        """The motion from where a wheel that slipped at the start rolled with its car."""
        n = self.spun
        if not n:
            return self
        return replace(
            self,
            used=self.used[n:],
            time_s=self.time_s[n:],
            distance_m=self.distance_m[n:],
            speed_m_s=self.speed_m_s[n:],
            speed_sd_m_s=self.speed_sd_m_s[n:],
            acceleration_m_s2=self.acceleration_m_s2[n:],
            acceleration_sd_m_s2=self.acceleration_sd_m_s2[n:],
            slot=self.slot[n:],
            legs=(self.legs[0] - n, *self.legs[1:]),
            launch_s=float(self.time_s[n]),
            launch_seen=False,
            spun=0,
        )

    @property
    def way_out(self) -> int:
        """How many edges the way out has."""
        return self.legs[0] if self.legs else 0
