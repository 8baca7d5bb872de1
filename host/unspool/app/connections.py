"""Connections: how many a client and all clients may hold open, and how long they may say nothing.

A client that opens connections and sends half a request would else use up this computer's file
descriptors. Then the recorder could not open its port again, nor the owner a page.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import ClassVar

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from unspool.app.permissions import HERE

try:
    from resource import RLIMIT_NOFILE, getrlimit
except ImportError:  # Windows has no such limit

    def _descriptors() -> int:
        return 8192
else:

    def _descriptors() -> int:
        return getrlimit(RLIMIT_NOFILE)[0]


# A browser opens six at a time; a phone may have some pages open.
MOST_A_CLIENT = 32
# For all guests together; two hundred people with two connections each.
MOST_GUESTS = 480
# Of all descriptors: the rest is for the recorder, the store and the owner.
GUESTS_SHARE = 0.4
# A phone on a bad network sends its request within a second or two.
HEADER_S = 10.0


class Connections:
    """Counts open connections by client address."""

    def __init__(self, most: int | None = None, most_a_client: int = MOST_A_CLIENT) -> None:
        self.most = min(MOST_GUESTS, int(GUESTS_SHARE * _descriptors())) if most is None else most
        self.most_a_client = most_a_client
        self._open: Counter[str] = Counter()

    def enter(self, client: str) -> bool:
        """Counts one more, unless the client or all guests have too many. The owner always may."""
        if client not in HERE and (
            self._open.total() - sum(self._open[name] for name in HERE) >= self.most
            or self._open[client] >= self.most_a_client
        ):
            return False
        self._open[client] += 1
        return True

    def leave(self, client: str) -> None:
        self._open[client] -= 1
        if self._open[client] <= 0:
            del self._open[client]


class Counted:
    """A protocol's place among the open connections, and the time that it has to go on."""

    bounds: ClassVar[Connections]
    _counted = ""  # the client, while the connection counts
    _deadline: asyncio.TimerHandle | None = None

    def _count(self, client: str, transport: asyncio.Transport) -> bool:
        """False, and the connection is ended, if there are too many."""
        if not self.bounds.enter(client):
            transport.abort()
            return False
        self._counted = client
        return True

    def _stop_waiting(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _let_go(self) -> None:
        if self._counted:
            self.bounds.leave(self._counted)
            self._counted = ""


class BoundedHttp(Counted, H11Protocol):
    """One connection of a client; `bounded` makes the class that uvicorn takes."""

    header_s: ClassVar[float]

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as in uvicorn
        super().connection_made(transport)
        client = self.client[0] if self.client else HERE[0]
        if self._count(client, transport):
            self._watch()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop_waiting()
        self._let_go()
        super().connection_lost(exc)

    def handle_websocket_upgrade(self, event: h11.Request) -> None:
        # From here on the socket's own protocol has the connection; live_socket bounds those.
        self._stop_waiting()
        self._let_go()
        super().handle_websocket_upgrade(event)

    def _watch(self) -> None:
        """A request that has begun must be whole in time; the timer is not set twice."""
        waiting = self.conn.their_state is h11.IDLE
        if not waiting:
            self._stop_waiting()
        elif self._deadline is None and self._counted:
            self._deadline = self.loop.call_later(self.header_s, self._too_slow)

    def _too_slow(self) -> None:
        self._deadline = None
        if self.conn.their_state is h11.IDLE and not self.transport.is_closing():
            self.transport.abort()


def bounded(bounds: Connections, header_s: float = HEADER_S) -> type[H11Protocol]:
    """The HTTP protocol class that keeps to these bounds."""
    return type("Bounded", (BoundedHttp,), {"bounds": bounds, "header_s": header_s})
