"""Track: the floor's height along the run, and the air above it, in SI."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Track:
    """Height is straight between the points and level before the first and after the last.

    distance_m: strictly increasing, from the launch line; height_m: same length.
    """

    name: str
    distance_m: tuple[float, ...]
    height_m: tuple[float, ...]
    air_density_kg_m3: float


# Dry air at 20 C and 1013.25 hPa (CIPM-2007: 1.2046 kg/m3), for want of a track file.
FLAT = Track("flat", (0.0,), (0.0,), 1.2046)
