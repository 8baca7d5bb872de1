"""Acknowledging: when the board hears how far its edges are stored, and how far that is."""

from __future__ import annotations

from typing import NamedTuple

from unspool.instrument.wire.timer import Timer

# Between two requests to fill a hole. A round trip takes up to 0.04 s over a cable with an adapter,
# and 0.1 s over a radio. A request that comes sooner makes the board begin once more in vain.
RESEND_S, SLOW_RESEND_S = 0.05, 0.2
KEEP_ALIVE_S = 1.0  # between two acknowledgements; half of the board's patience (HOST_LOST_MS)


class Stored(NamedTuple):
    """All log bytes before `position` and all edges before `edge` are stored."""

    position: int
    edge: int


class Acknowledging:
    """An acknowledgement is due if more is stored, a hole is open, or the board waits too long."""

    def __init__(self) -> None:
        self._stored = Stored(0, 0)
        self._sent: Stored | None = None
        self._resend = Timer(RESEND_S)
        self._alive = Timer(KEEP_ALIVE_S)

    def slow_down(self) -> None:
        """The link is a slow one: an answer takes longer."""
        self._resend = Timer(SLOW_RESEND_S)

    def begin(self, stored: Stored) -> None:
        """Another log begins; the board has heard nothing of it."""
        self._stored, self._sent = stored, None

    def store(self, stored: Stored) -> None:
        self._stored = stored

    def due(self, now_s: float, hole: bool) -> bool:
        if hole and self._resend.due(now_s):
            return True
        if self._stored != self._sent:
            self._alive.restart(now_s)
            return True
        return self._alive.due(now_s)

    def send(self) -> Stored:
        """What the acknowledgement says that goes out now."""
        self._sent = self._stored
        return self._stored
