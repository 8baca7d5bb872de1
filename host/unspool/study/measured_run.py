"""Ran: what ran, wherever it was kept, as calibration and comparison want it."""

from __future__ import annotations

from typing import Protocol

from unspool.car.track import Track
from unspool.car.vehicle import Car
from unspool.reading.edges.pulse_train import PulseTrain


class Ran(Protocol):
    """counted: turns on each tier, None where nobody counted. note: the builder's. turn: the
    sitting, and the order within it, None where that is not known.
    """

    @property
    def name(self) -> str: ...
    @property
    def train(self) -> PulseTrain: ...
    @property
    def car(self) -> Car: ...
    @property
    def track(self) -> Track: ...
    @property
    def counted(self) -> tuple[float, ...] | None: ...
    @property
    def note(self) -> str: ...
    @property
    def turn(self) -> tuple[str, float] | None: ...
