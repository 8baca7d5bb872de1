"""WheelEdges: edges that passed in one direction, with the boundary of the disc that each is.

An edge time is the instant at which a boundary of the disc passes the sensor, stamped with noise.
Boundary b of slot pattern s passes when the wheel has rolled, from the launch,

    pitch x (b + s_j) - origin,       j = b mod pulses,

with the pitch the way of an even slot, s the pattern (see slot_pattern.py), and the origin the
launch's place on the disc. So edge times give the way up to two nuisances, pattern and origin, and
noise (see noise.py). Whatever is fitted to edges, a smooth curve, a law or a car's losses, is
fitted to these.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.slot_pattern import SLOT_SD, PatternProjection

Array = NDArray[np.float64]


@dataclass(frozen=True)
class WheelEdges:
    """time_s: (n,) rising; boundary: (n,) counted, any sign; pitch_m: the even pitch.

    known_m: (n,) what is already known of the boundaries' places beyond the even ones; slot_sd is
    the prior sd, in slots, of the pattern that is not.
    """

    time_s: Array
    boundary: NDArray[np.int64]
    pulses: int
    pitch_m: float
    known_m: Array | float = 0.0
    slot_sd: float = SLOT_SD

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def slot(self) -> NDArray[np.int64]:
        """(n,) which boundary of the disc each is."""
        return np.mod(self.boundary, self.pulses)

    @property
    def way_m(self) -> Array:
        """(n,) the way rolled at each edge, up to pattern and origin."""
        return self.boundary.astype(np.float64) * self.pitch_m + self.known_m

    @property
    def reach_m(self) -> float:
        """No edge is further from the launch; the slots before the first one are included."""
        return float(self.boundary[-1] - self.boundary[0] + 2) * self.pitch_m

    def projection(self, weight: Array) -> PatternProjection:
        """weight: (n,) one over the variance of each edge's place in m2."""
        return PatternProjection.of(self.slot, self.pulses, weight, self.slot_sd * self.pitch_m)
