"""What the store takes and gives: plain frozen values, no database objects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.turns import TurnsFrom


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


class Field(StrEnum):
    """What people can say of a run, at its import or later."""

    CAR = "car"
    TRACK = "track"
    TURNS = "turns"
    WEIGHT_G = "weight_g"
    CIRCUMFERENCE_MM = "circumference_mm"
    CIRCUMFERENCE_SD_MM = "circumference_sd_mm"
    TAPED_M = "taped_m"
    TIMED_S = "timed_s"
    NOTE = "note"
    TAGS = "tags"
    DISCARDED = "discarded"


Turns = tuple[tuple[str, float], ...]  # tiers with their turns
Tags = tuple[str, ...]
# Of cars and tracks the text, and in the history the name.
Said = str | float | bool | Turns | Tags | None


@dataclass(frozen=True)
class Correction:
    """One thing that somebody said of a run, and what was known before."""

    made_at: datetime
    who: str
    field: Field
    before: Said
    after: Said


@dataclass(frozen=True)
class Attempt:
    """The number of a run among those of its car on its day, from 1. car: None for no car."""

    car: str | None
    day: date
    number: int


@dataclass(frozen=True)
class RunRow:
    """One line of the list of runs.

    missing: edges that are known to be lost, in the run or before its first edge. builder_note:
    what the builder wrote. corrections: how many things were said of it.

    attempt: None only if its moment is damaged. timed_s: how long it ran by a stopwatch. basis and
    revision are those of StoredRun.
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
    turns_from: TurnsFrom = TurnsFrom.PLANNED
    taped_m: float | None = None
    discarded: bool = False
    corrections: int = 0
    tags: Tags = ()
    timed_s: float | None = None
    attempt: Attempt | None = None
    revision: int = 0
    basis: str = ""


@dataclass(frozen=True)
class StoredRun:
    """A run with all that was known when it was recorded.

    train: corrected by the clock's rate if that is known (`clock`), else on the board's or the
    file's clock. The board's own ticks stay in the capture.

    winding: what the recorder counted. In its place stand said_turns, and in place of the car
    file's values weight_g and circumference_mm, if somebody said them of this run.

    taped_m: how far it went by the tape. timed_s: how long by a stopwatch. builder_note: what the
    builder wrote. The revision grows with each correction. basis: a digest of the cells that a
    reading of the run rests on.
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
    said_turns: Turns | None = None
    weight_g: float | None = None
    circumference_mm: float | None = None
    circumference_sd_mm: float | None = None
    taped_m: float | None = None
    discarded: bool = False
    revision: int = 0
    tags: Tags = ()
    timed_s: float | None = None
    basis: str = ""

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
class BoardKey:
    """One boot of one board. identity is the board's number for life, never 0."""

    identity: int
    boot: int


@dataclass(frozen=True)
class BoardCar:
    """The names of the car that a board is in, and of the floor; "" is a level floor."""

    car: str
    track: str = ""


@dataclass(frozen=True)
class UnderWay:
    """A board that a process records. board: the way to it, as a page chooses it.

    car: by name, "" if the board knows it. track: "" for a level floor. process: its number on
    that host. since_us: when it began, in microseconds since 1970 UTC.
    """

    board: str
    car: str
    track: str
    host: str
    process: int
    since_us: int


@dataclass(frozen=True)
class CaptureRow:
    """One capture, without what is in it.

    What earlier captures of the board have already is `known`; None if there is nothing. Its board
    and boot are `key`; None if the board has no number. Bytes that no frame explains are counted in
    `stray_bytes`, and not in `size_bytes`.
    """

    id: int
    link: str
    started_at: datetime
    sessions: int
    size_bytes: int
    known: KnownEdges | None
    key: BoardKey | None = None
    stray_bytes: int = 0
    runs: int = 0


@dataclass(frozen=True)
class Tidied:
    """What was deleted: so many captures, with so many bytes in them."""

    captures: int
    size_bytes: int


class Origin(StrEnum):
    """Who said the bytes of a chunk."""

    BOARD = "board"
    BUILDER = "builder"  # a mark made by hand while recording
    STRAY = "stray"  # the first of those that no frame explains


@dataclass(frozen=True)
class Chunk:
    """Bytes as they arrived: arrived_s is host time, seconds since 1970, steady in a session."""

    session: int
    arrived_s: float
    data: bytes
    origin: Origin = Origin.BOARD
