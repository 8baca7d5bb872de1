"""Where a true run stands while it is solved, and all that happened in it so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum, auto

import numpy as np
from scipy.integrate import OdeSolution

from unspool.virtual.truth import rates
from unspool.virtual.truth.drum import TierLever, TrueDrum, drum_of
from unspool.virtual.truth.true_car import ANGLE, FALL, ROLLED, STATES, Floor, State, TrueCar, V, X


class StringMode(Enum):
    """What the string does."""

    SLIDING = auto()  # pulls while the tyre slides
    REGRIPPING = auto()  # pulls while the sliding tyre takes hold again
    TAUT = auto()
    SLACK = auto()
    LANDED = auto()  # the weight rests, string is still on the drum
    GONE = auto()
    DANGLING = auto()  # held at the peg, but not yet tight the other way round
    HELD = auto()  # held at the peg: lifts the weight


@dataclass(frozen=True)
class TrueEvent:
    """Something that happened at one instant; kinds as in a reading, and "held"."""

    kind: str
    time_s: float
    distance_m: float
    speed_m_s: float
    from_tier: str | None = None
    to_tier: str | None = None


@dataclass
class RunState:
    """`state`: its rows are those of true_car. `legs`: each leg's solution over its time.

    `held_from_m`: what the wheel had rolled when the held string became tight. `left_j`: energy
    left in the weight. `last_rest_m`: where the car stood still before it rolled on.
    """

    car: TrueCar
    drum: TrueDrum = field(init=False)
    string: StringMode = StringMode.TAUT
    tier: int = 0
    forward: bool = True
    time_s: float = 0.0
    state: State = field(default_factory=lambda: np.zeros(STATES))
    legs: list[OdeSolution] = field(default_factory=list)
    events: list[TrueEvent] = field(default_factory=list)
    catches_j: float = 0.0
    landing_j: float = 0.0
    left_j: float = 0.0
    held_from_m: float = 0.0
    started: bool = False
    last_rest_m: float = -np.inf

    def __post_init__(self) -> None:
        self.drum = drum_of(self.car.car)
        self.state[ANGLE] = self.car.imperfections.swing_rad

    @property
    def lever(self) -> TierLever:
        lever = self.drum.levers[self.tier]
        if self.string is StringMode.HELD:
            return TierLever(lever.at(self.drum.empty_m), 0.0, 0.0, sign=-1)
        return lever

    @property
    def floor(self) -> Floor:
        slope = self.car.slope(float(self.state[X]), self.forward)
        return Floor(slope, 1 if self.forward else -1)

    def start_force_n(self) -> float:
        """The string's force at the tyre at rest."""
        return rates.string_pull(self.car, self.lever, 0.0, 0.0)[0]

    def slack_m(self, y: State) -> float:
        """How far the weight has fallen past the string that is out; below 0 it is slack."""
        return float(y[FALL]) - self.drum.paid(self.tier, float(y[ROLLED]))

    def note(self, kind: str, from_tier: str | None = None, to_tier: str | None = None) -> None:
        place, speed = float(self.state[X]), float(self.state[V])
        self.events.append(TrueEvent(kind, self.time_s, place, speed, from_tier, to_tier))
