"""What the run finder sees in what a board says."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.instrument.record.notices import PhaseChanged
from unspool.instrument.wire.decoded import EdgeBatch
from unspool.reading.edges.ending import Ending
from unspool.store import Winding


@dataclass(frozen=True)
class RunGrew:
    """New edges of the run under way."""

    key: str
    first: bool
    tick_hz: int
    edges: EdgeBatch


@dataclass(frozen=True)
class RunOver:
    """A run with all its edges; winding is None if none was seen.

    lost_before: edges that the board lost between the rest before the run and its first edge.
    """

    key: str
    boot: int
    tick_hz: int
    edges: EdgeBatch
    launch_ticks: int
    winding: Winding | None
    ending: Ending
    lost_before: int


RunEvent = PhaseChanged | RunGrew | RunOver
