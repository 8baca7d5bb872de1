"""What a run amounts to, predicted or measured: events, energy, curve."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from unspool.finding import Finding


class EventKind(StrEnum):
    LAUNCH = "launch"
    TIER_CHANGE = "tier_change"
    LANDING = "landing"
    RELEASE = "release"
    FURTHEST = "furthest"
    ROLLBACK = "rollback"
    STOP = "stop"


@dataclass(frozen=True)
class Event:
    """Something that happened at one instant; distance is from the launch.

    `expected_distance_m` is where a prediction for the same winding puts it, None if it has none.
    """

    kind: EventKind
    time_s: float
    distance_m: float
    speed_m_s: float
    time_sd_s: float | None = None
    distance_sd_m: float | None = None
    expected_distance_m: float | None = None
    from_tier: str | None = None
    to_tier: str | None = None


@dataclass(frozen=True)
class EnergyLedger:
    """Where the stored energy m g h went, in joules; None is what cannot be known.

    stored = left_in_weight + drive + catches + landing + rolling + air + grade + kinetic
    + unexplained. Only a car that nothing stops has kinetic energy left, at the end of its curve.
    Constant and linear drag count as rolling.
    """

    stored: float
    left_in_weight: float | None
    drive: float | None
    catches: float | None
    landing: float | None
    rolling: float | None
    air: float | None
    grade: float | None
    unexplained: float | None
    kinetic: float | None = 0.0


@dataclass(frozen=True)
class Curve:
    """A run as (n,) arrays over the same instants; `time_s` is 0 at the launch."""

    time_s: NDArray[np.float64]
    distance_m: NDArray[np.float64]
    speed_m_s: NDArray[np.float64]


@dataclass(frozen=True)
class Prediction:
    """One run of the model. Margins are None if the car file does not give what they need.

    `distance_low_m` and `distance_high_m` bound the 90 % interval, from the losses' uncertainty.
    Distance, interval and duration are infinite if nothing stops the car.
    `start_margin` is the drive force over the resistance at rest; above 1 the car starts.
    """

    car: str
    starts: bool
    start_margin: float
    distance_m: float
    distance_low_m: float
    distance_high_m: float
    furthest_m: float
    duration_s: float
    peak_speed_m_s: float
    peak_at_m: float
    release_m: float | None
    events: tuple[Event, ...]
    energy: EnergyLedger
    curve: Curve
    peak_tension_n: float
    string_margin: float | None
    traction_margin: float | None
    tipping_margin: float | None
    findings: tuple[Finding, ...] = ()

    @property
    def reach_m(self) -> float:
        """How far a picture of the run must reach: always finite."""
        return self.furthest_m if isfinite(self.furthest_m) else float(self.curve.distance_m[-1])
