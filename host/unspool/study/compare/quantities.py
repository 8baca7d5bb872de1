"""Quantities: what of a run is compared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from unspool.model.outcome import EventKind
from unspool.reading.events.types import Reading


@dataclass(frozen=True)
class Quantity:
    """key names the quantity and its unit, as in docs/formats.md."""

    key: str
    unit: str
    of: Callable[[Reading], float | None]

    def value(self, reading: Reading) -> float | None:
        """The quantity of a run, None if the run does not show it."""
        value = self.of(reading)
        return float(value) if value is not None and isfinite(value) else None


def _release(reading: Reading) -> float | None:
    released = (e.distance_m for e in reading.events if e.kind is EventKind.RELEASE)
    return next(released, None)


def _energy(term: str) -> Quantity:
    return Quantity(f"{term}_j", "J", lambda reading: getattr(reading.energy, term))


QUANTITIES = (
    Quantity("distance_m", "m", lambda r: r.distance_m if r.motion.measures_distance else None),
    Quantity("duration_s", "s", lambda r: r.duration_s if r.motion.measures_distance else None),
    Quantity("peak_speed_m_s", "m/s", lambda r: r.peak_speed_m_s),
    Quantity("release_m", "m", _release),
    _energy("left_in_weight"),
    _energy("drive"),
    _energy("catches"),
    _energy("landing"),
    _energy("rolling"),
    _energy("air"),
    _energy("grade"),
    _energy("unexplained"),
)
