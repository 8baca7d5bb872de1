"""Arrivals: an alarm if the board counts edges that do not arrive, or says nothing any more."""

from __future__ import annotations

from unspool.finding import Finding, note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.wire.decoded import BoardStatus, Decoded, EdgeBatch, EdgeGap

LATE_S = 5.0  # a line that carries anything brings a frame of edges in less
SILENT_S = 5.0  # a board says something each second


class Arrivals:
    """One board on one link. next_edge: the first that is not stored. Times are the host's."""

    def __init__(self, link: str, next_edge: int, now: float) -> None:
        self._link, self._next_edge = link, next_edge
        self._heard_at = now
        self._late_since: float | None = None
        self._alarmed = False

    def feed(self, item: Decoded, now: float) -> list[Finding]:
        """What an item says of the edges that are due."""
        self._heard_at = now
        match item:
            case EdgeBatch():
                return self._arrived(int(item.number[-1]) + 1)
            case EdgeGap():
                return self._arrived(item.first + item.count)
            case BoardStatus():
                return self._count(item.next_edge, now)
            case _:
                return []

    def look(self, now: float) -> list[Finding]:
        """Call it all the time: silence is no item."""
        if self._alarmed or now - self._heard_at < SILENT_S:
            return []
        self._alarmed = True
        return [warning(RecordCode.BOARD_SILENT, link=self._link)]

    def _arrived(self, next_edge: int) -> list[Finding]:
        self._next_edge, self._late_since = next_edge, None
        return self._calm()

    def _count(self, next_edge: int, now: float) -> list[Finding]:
        due = next_edge - self._next_edge
        if due <= 0:
            self._late_since = None
            return self._calm()
        if self._late_since is None:
            self._late_since = now
        if self._alarmed or now - self._late_since < LATE_S:
            return []
        self._alarmed = True
        return [warning(RecordCode.EDGES_DO_NOT_ARRIVE, link=self._link, edges=due)]

    def _calm(self) -> list[Finding]:
        was, self._alarmed = self._alarmed, False
        return [note(RecordCode.EDGES_ARRIVE_AGAIN, link=self._link)] if was else []
