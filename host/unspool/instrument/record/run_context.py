"""RunContext: what is recorded."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class RunContext:
    """The car and the track as their files' text, and what of the car the recorder must know.

    edges_per_turn: the car's encoder; None leaves it to the board. planned_turns: what the drum is
    wound by as planned, all tiers together; None takes any turning back for winding. With one of
    the sensors alone, edges have no direction.
    """

    car_text: str | None = None
    track_text: str | None = None
    edges_per_turn: int | None = None
    planned_turns: float | None = None
    sensors: int = 2
