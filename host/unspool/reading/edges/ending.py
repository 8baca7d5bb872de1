"""Ending: why a run's edges end where they do, if that was seen while they were recorded."""

from __future__ import annotations

from enum import StrEnum


class Ending(StrEnum):
    """UNKNOWN is for edges that come from a file: only their own speed can say."""

    UNKNOWN = "unknown"
    STOOD_STILL = "stood_still"
    BOARD_RESTARTED = "board_restarted"
    RECORDING_STOPPED = "recording_stopped"
    EDGES_LOST = "edges_lost"

    @property
    def is_cut(self) -> bool:
        """Whether the car may have gone on after the last edge that was recorded."""
        return self not in (Ending.UNKNOWN, Ending.STOOD_STILL)
