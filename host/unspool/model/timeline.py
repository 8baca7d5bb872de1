"""What a simulation records: segments at their place and time, and catches of the weight."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.model.params import TierPath
from unspool.model.segments import Segment
from unspool.model.states import StringState


@dataclass(frozen=True, slots=True)
class PlacedSegment:
    """A segment that began at x0_m and t0_s and went along direction (1 or -1)."""

    segment: Segment
    string: StringState
    tier: TierPath
    x0_m: float
    t0_s: float
    direction: int
    slope: float

    @property
    def x1_m(self) -> float:
        return self.x0_m + self.direction * self.segment.length_m


@dataclass(frozen=True, slots=True)
class Catch:
    """The string caught the weight, which closed in on it at speed_m_s.

    paid_m: string that had left the drum; lost_j: energy that the catch took.
    """

    speed_m_s: float
    lever: float
    paid_m: float
    lost_j: float
