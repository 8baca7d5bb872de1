"""A run as it was measured, which is what readings, calibrations and comparisons start from."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.car.track import FLAT, Track
from unspool.car.vehicle import Car
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.turns import TurnsFrom


@dataclass(frozen=True)
class MeasuredRun:
    """The edges of a run, with the car and the track.

    counted: turns on each tier in the order of the drum, None if nobody counted them; turns_from
    says whether the recorder counted them or a person said them. The note is the builder's own.
    The turn is the session and the moment in it, None if they are not known.

    stored: its id in the store, None for a run that is in none. taped_m: how far it went by the
    tape, None if nobody measured.

    discarded: somebody said that it counts for nothing.
    """

    name: str
    train: PulseTrain
    car: Car
    track: Track = FLAT
    counted: tuple[float, ...] | None = None
    note: str = ""
    turn: tuple[str, float] | None = None
    stored: str | None = None
    turns_from: TurnsFrom = TurnsFrom.PLANNED
    taped_m: float | None = None
    discarded: bool = False

    @property
    def wound(self) -> tuple[tuple[str, float], ...]:
        """The tiers that were wound, with their turns: as counted, or else as the car file says."""
        turns = self.counted or tuple(tier.turns for tier in self.car.drum)
        return tuple((t.name, n) for t, n in zip(self.car.drum, turns, strict=True) if n > 0.0)
