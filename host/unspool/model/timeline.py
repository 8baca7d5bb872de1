"""Legs in their place and time, and the moments between them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from unspool.model.legs import Leg
from unspool.model.params import TierPath


class Pull(Enum):
    """What the string does."""

    TAUT = "taut"
    SLACK = "slack"
    LANDED = "landed"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class Passage:
    """A leg where and when it was: entered at x0_m and t0_s, along sense (1 or -1)."""

    leg: Leg
    pull: Pull
    tier: TierPath
    x0_m: float
    t0_s: float
    sense: int
    slope: float

    @property
    def x1_m(self) -> float:
        return self.x0_m + self.sense * self.leg.way_m


@dataclass(frozen=True, slots=True)
class Catch:
    """The string catching the weight: closing speed along the string, string out, energy lost."""

    speed_m_s: float
    lever: float
    paid_m: float
    lost_j: float
