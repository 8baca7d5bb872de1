"""Track: the floor's height along the run, and the air above it, in SI."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.car.air import air_density


@dataclass(frozen=True)
class Track:
    """Height is straight between the points and level before the first and after the last.

    distance_m: strictly increasing, rolled along the floor from the launch line, so that a slope is
    rise over rolled distance (the sine of its angle); height_m: same length.
    """

    name: str
    distance_m: tuple[float, ...]
    height_m: tuple[float, ...]
    air_density_kg_m3: float


# A level floor in a room's air, for want of a track file.
FLAT = Track("flat", (0.0,), (0.0,), air_density())
