"""Notices: what the recorder reports to its observers while it happens.

The app's live page is one observer, a terminal another. An observer is a callable that takes a
Notice; it must return quickly and never raise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from unspool.finding import Finding, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.wire.table import ResetCause


class Phase(StrEnum):
    """Where the car is in its cycle, as the edges show it."""

    NO_LINK = "no_link"
    WAITING = "waiting"  # linked, wheel still, nothing wound
    WINDING = "winding"  # wheel turned backwards
    READY = "ready"  # wound and still
    RUNNING = "running"
    ENDED = "ended"  # the run is over and saved


@dataclass(frozen=True)
class LinkChanged:
    """finding says why: one of the first four of RecordCode."""

    up: bool
    finding: Finding


@dataclass(frozen=True)
class BoardSeen:
    """identity: the board's number for life, 0 if it has none."""

    firmware: str
    boot: int
    tick_hz: int
    identity: int = 0


@dataclass(frozen=True)
class BoardHealth:
    """battery_v is 0 if the board does not measure it.

    reset_at: the board's ticks after the last reset that its edges outlived, 0 if there was none.
    """

    battery_v: float
    edges_lost: int
    reset_cause: ResetCause
    battery_low: bool = False
    reset_at: int = 0


@dataclass(frozen=True)
class BoardTrouble:
    """Something about the board or the recording that the user should know of."""

    finding: Finding


@dataclass(frozen=True)
class PhaseChanged:
    """wound_turns counts wheel turns backwards since the wheel was last at rest unwound.

    wound_steps parts them at the builder's marks, in the order of winding, the step under way
    last; empty while nothing is marked.
    """

    phase: Phase
    wound_turns: float
    wound_steps: tuple[float, ...] = ()


@dataclass(frozen=True)
class RunEdges:
    """New edges of the run under way (phase RUNNING), as they arrived.

    first is True with the first batch of a run; it may hold edges from just before the launch.
    arrived_s is time.monotonic() at the host when the bytes came in.
    """

    run_key: str
    first: bool
    time_s: NDArray[np.float64]
    direction: NDArray[np.int8]
    number: NDArray[np.int64]
    arrived_s: float


@dataclass(frozen=True)
class EdgesMissed:
    """So many edges are gone: the record has a gap."""

    count: int

    @property
    def finding(self) -> Finding:
        return warning(RecordCode.EDGES_LOST_ON_BOARD, edges=self.count)


@dataclass(frozen=True)
class RunSaved:
    run_key: str
    run_id: str


Notice = (
    LinkChanged
    | BoardSeen
    | BoardHealth
    | BoardTrouble
    | PhaseChanged
    | RunEdges
    | EdgesMissed
    | RunSaved
)
Observer = Callable[[Notice], None]
