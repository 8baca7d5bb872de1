"""Reading: what happened in one run, in numbers and findings."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.finding import Finding
from unspool.model.outcome import EnergyLedger, Event, EventKind, Prediction
from unspool.reading.motion.types import Motion


@dataclass(frozen=True)
class Stretch:
    """A part of the run between two events: a tier driving, or the coast."""

    kind: str  # "tier" or "coast"
    tier: str | None
    from_m: float
    to_m: float
    acceleration_m_s2: float
    acceleration_sd: float | None


@dataclass(frozen=True, repr=False)
class Reading:
    """distance_m is where the car came to rest, furthest_m the most it reached, from the launch.

    winding is the turns on each tier that the edges were matched with: those counted while
    winding if the board saw it, else the car file's.
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

    @property
    def distance_sd_m(self) -> float | None:
        """None if no stop was seen, or if nothing shows how sure its place is."""
        return self._sd_of(EventKind.STOP)

    @property
    def furthest_sd_m(self) -> float | None:
        """As distance_sd_m, of the furthest point."""
        turned = any(event.kind is EventKind.FURTHEST for event in self.events)
        return self._sd_of(EventKind.FURTHEST if turned else EventKind.STOP)

    def _sd_of(self, kind: EventKind) -> float | None:
        return next((e.distance_sd_m for e in self.events if e.kind is kind), None)

    def __repr__(self) -> str:
        """A few lines: how far and how fast, the events with their places, the findings' codes."""
        events = ", ".join(f"{event.kind} {event.distance_m:.2f} m" for event in self.events)
        found = ", ".join(finding.code for finding in self.findings)
        return (
            f"Reading of {self.car}: {self.distance_m:.2f} m in {self.duration_s:.1f} s, "
            f"at most {self.peak_speed_m_s:.2f} m/s\n"
            f"  events: {events or 'none'}\n"
            f"  findings: {found or 'none'}"
        )
