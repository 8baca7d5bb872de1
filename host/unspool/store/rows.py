"""What the store takes and gives: plain frozen values, no database objects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain


@dataclass(frozen=True)
class Winding:
    """Turns that the wheel made backwards before the run, as the board counted them.

    steps: the turns between the builder's marks, in the order of winding; they sum to turns. The
    string leaves the tiers in the reverse order. Empty if nothing was marked.
    """

    turns: float
    steps: tuple[float, ...] = ()


@dataclass(frozen=True)
class ClockRate:
    """How fast the board's clock ran against the host's: 0 ppm equal, above 0 the board is fast."""

    ppm: float
    sd_ppm: float

    def corrected(self, train: PulseTrain) -> PulseTrain:
        """The train with its times as the host's clock would have measured them."""
        return replace(train, time_s=train.time_s / (1.0 + self.ppm * 1e-6))


@dataclass(frozen=True)
class FoundRun:
    """A run as it was found in a capture.

    train: on the board's own clock, seconds since boot. clock: None if the session was too short to
    estimate the rate.
    """

    train: PulseTrain
    boot: int
    tick_hz: float
    started_at: datetime
    winding: Winding | None
    clock: ClockRate | None


@dataclass(frozen=True)
class RunRow:
    """One line of the list of runs.

    missing: edges that are known to be lost, in the run or before its first edge. builder_note:
    what the builder wrote.
    """

    id: str
    started_at: datetime
    car: str | None
    track: str | None
    source: str
    edges: int
    missing: int
    ending: Ending
    builder_note: str = ""


@dataclass(frozen=True)
class StoredRun:
    """A run with all that was known when it was recorded.

    train: corrected by the clock's rate if that is known (`clock`), else on the board's or the
    file's clock. The board's own ticks stay in the capture. builder_note: what the builder wrote.
    """

    id: str
    started_at: datetime
    source: str
    train: PulseTrain
    car_text: str | None
    track_text: str | None
    winding: Winding | None
    clock: ClockRate | None
    tick_hz: float | None
    builder_note: str = ""

    @property
    def ending(self) -> Ending:
        return self.train.ending

    @property
    def turn(self) -> tuple[str, float] | None:
        """The sitting in which a recorded run was made, and when; None for an imported one, whose
        time says when it was imported.
        """
        return (self.source, self.started_at.timestamp()) if self.tick_hz is not None else None


@dataclass(frozen=True)
class Imported:
    """The run that an import became; `already_there` when the store had it before."""

    run_id: str
    already_there: bool


@dataclass(frozen=True)
class KnownEdges:
    """All edges of this boot before number next_edge were kept."""

    boot: int
    next_edge: int


@dataclass(frozen=True)
class CaptureRow:
    """known: what earlier captures of the same board have already; None if there is nothing."""

    id: int
    link: str
    started_at: datetime
    sessions: int
    size_bytes: int
    known: KnownEdges | None


class Origin(StrEnum):
    """Who said the bytes of a chunk."""

    BOARD = "board"
    BUILDER = "builder"  # a mark made by hand while recording


@dataclass(frozen=True)
class Chunk:
    """Bytes as they arrived: arrived_s is host time, seconds since 1970, steady in a session."""

    session: int
    arrived_s: float
    data: bytes
    origin: Origin = Origin.BOARD
