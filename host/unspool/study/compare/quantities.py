"""Quantities: what of a run is compared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from unspool.model.outcome import EventKind
from unspool.reading.events.types import Reading


@dataclass(frozen=True)
class Quantity:
    """key carries the unit, as in docs/formats.md; more and less are the words for a difference."""

    key: str
    name: str
    unit: str
    of: Callable[[Reading], float | None]
    more: str = "more"
    less: str = "less"

    def value(self, reading: Reading) -> float | None:
        """The quantity of a run, None where the run does not tell it."""
        value = self.of(reading)
        return float(value) if value is not None and isfinite(value) else None


def _release(reading: Reading) -> float | None:
    released = (e.distance_m for e in reading.events if e.kind is EventKind.RELEASE)
    return next(released, None)


def _energy(term: str, name: str) -> Quantity:
    return Quantity(f"{term}_j", name, "J", lambda reading: getattr(reading.energy, term))


QUANTITIES = (
    Quantity("distance_m", "distance", "m", lambda r: r.distance_m, "farther", "shorter"),
    Quantity("duration_s", "duration", "s", lambda r: r.duration_s, "longer", "shorter"),
    Quantity("peak_speed_m_s", "top speed", "m/s", lambda r: r.peak_speed_m_s, "faster", "slower"),
    Quantity("release_m", "release", "m", _release, "later", "earlier"),
    _energy("left_in_weight", "energy left in the weight"),
    _energy("drive", "energy lost in the drive"),
    _energy("catches", "energy lost at tier changes"),
    _energy("landing", "energy lost as the weight lands"),
    _energy("rolling", "energy to rolling"),
    _energy("air", "energy to air"),
    _energy("grade", "energy to climbing"),
    _energy("unexplained", "energy not explained"),
)
