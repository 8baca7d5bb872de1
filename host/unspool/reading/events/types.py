"""Reading: what happened in one run, in words and numbers."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.model.outcome import EnergyLedger, Event, Prediction
from unspool.reading.motion.types import Motion


@dataclass(frozen=True)
class Finding:
    """Something odd about a run, in builder's words with what to do about it.

    code is one of docs/formats.md's finding codes; severity is "note" or "warning".
    """

    code: str
    severity: str
    text: str


@dataclass(frozen=True)
class Stretch:
    """A part of the run between two events: a tier driving, or the coast."""

    kind: str  # "tier" or "coast"
    tier: str | None
    from_m: float
    to_m: float
    acceleration_m_s2: float
    acceleration_sd: float | None


@dataclass(frozen=True)
class Reading:
    """distance_m is where the car came to rest, furthest_m the most it reached, from the launch.

    winding is the turns on each tier that the reading was confronted with: counted while winding
    where the board saw it, else the car file's.
    """

    car: str
    motion: Motion
    prediction: Prediction
    winding: tuple[float, ...]
    distance_m: float
    furthest_m: float
    duration_s: float
    peak_speed_m_s: float
    peak_at_m: float
    events: tuple[Event, ...]
    findings: tuple[Finding, ...]
    energy: EnergyLedger
    stretches: tuple[Stretch, ...]
