"""TurnLimits: how many turns of the wheel winding and running can take."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from unspool.instrument.record.one_sensor import least_turns
from unspool.instrument.record.wheel import MOVED

MOST_OF_PLAN = 1.5  # turned back further than this, the car was rolled back, not wound
WOUND_TURNS = 0.25  # less is play between string and drum
KEPT_TURNS = 1.0  # a wound car that was let go by less was only handled


@dataclass(frozen=True)
class TurnLimits:
    """most_wound: turned back further, a car is not being wound. least_rolled: less is no run."""

    most_wound: float
    least_rolled: float
    sensors: int

    @classmethod
    def of(cls, planned_turns: float | None, sensors: int) -> TurnLimits:
        most = inf if planned_turns is None else MOST_OF_PLAN * planned_turns
        return cls(most, KEPT_TURNS if sensors > 1 else least_turns(planned_turns), sensors)

    def least_wound(self, edges_per_turn: int) -> float:
        """In edges; the wheel may be one away from where it rests. With one sensor none shows."""
        return max(WOUND_TURNS * edges_per_turn, MOVED) if self.sensors > 1 else inf
