"""Door: the first thing that a connection meets if the pages are served with a certificate.

- TLS is spoken with everybody who asks for it, and a slow handshake holds nothing up.
- This computer's own browser may do without: nothing of it leaves the computer, and no certificate
  can be had for 127.0.0.1.
- Others who come without it are led to the same address with it.
"""

from __future__ import annotations

import asyncio
import re
from contextlib import suppress
from ssl import SSLContext
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

from unspool.app.connections import HEADER_S, Connections, Counted, bounded
from unspool.app.permissions import HERE

_HANDSHAKE = b"\x16"  # the first byte of TLS (RFC 8446, section 5.1)
CLOSE_S = 2.0
_ASKED = re.compile(rb"(?:GET|HEAD) (/[!-~]{0,2000}) HTTP/1\.[01]\r\n")
_HOST = re.compile(rb"\r\nhost:[ \t]*([A-Za-z0-9.:\[\]-]{1,255})[ \t]*\r\n", re.IGNORECASE)
_LED = (
    b"HTTP/1.1 307 Temporary Redirect\r\nlocation: https://%b%b\r\ncache-control: no-store\r\n"
    b"content-length: 0\r\nconnection: close\r\n\r\n"
)
_REFUSED = b"HTTP/1.1 400 Bad Request\r\ncontent-length: 0\r\nconnection: close\r\n\r\n"


class Door(Counted, asyncio.Protocol):
    """One connection; `door` makes the class that uvicorn takes."""

    inner: ClassVar[type[H11Protocol]]
    context: ClassVar[SSLContext]
    wait_s: ClassVar[float]

    def __init__(self, **given: Any) -> None:
        self._given = given
        self._early: bytearray | None = None  # what comes as soon as the handshake is over

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as in uvicorn
        peer = transport.get_extra_info("peername")
        client = str(peer[0]) if peer else HERE[0]
        if not self._count(client, transport):
            return
        self._transport = transport
        loop = asyncio.get_running_loop()
        self._deadline = loop.call_later(self.wait_s, transport.abort)

    def data_received(self, data: bytes) -> None:
        if self._early is not None:
            self._early += data
        elif data.startswith(_HANDSHAKE):
            self._stop_waiting()
            self._early = bytearray()
            self._transport.pause_reading()
            self._task = asyncio.get_running_loop().create_task(self._shake_hands(data))
        elif self._counted in HERE:
            self._go_on(self._transport, data)
        else:
            self._transport.write(_led(data))
            self._transport.close()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop_waiting()
        self._let_go()

    async def _shake_hands(self, first: bytes) -> None:
        loop = asyncio.get_running_loop()
        asked = loop.create_task(
            loop.start_tls(
                self._transport,
                self,
                self.context,
                server_side=True,
                ssl_handshake_timeout=self.wait_s,
                ssl_shutdown_timeout=CLOSE_S,
            )
        )
        await asyncio.sleep(0)  # from here on the transport's protocol is that of TLS
        loop.call_soon(_feed, self._transport, first)
        with suppress(OSError):  # no handshake, not in time, or one that our certificate ends
            secured = await asked
            # One that has ended by now would never say to the inner protocol that it has.
            if secured and not secured.is_closing() and self._early is not None:
                self._go_on(secured, bytes(self._early))
                return
        self._let_go()

    def _go_on(self, transport: asyncio.Transport, data: bytes) -> None:
        self._stop_waiting()
        self._let_go()
        inner = self.inner(**self._given)
        transport.set_protocol(inner)
        inner.connection_made(transport)
        if data:
            inner.data_received(data)


def door(context: SSLContext, bounds: Connections, wait_s: float = HEADER_S) -> type[Door]:
    """The protocol class that speaks TLS in front of the bounded one."""
    inner = bounded(bounds, wait_s)
    return type(
        "Door", (Door,), {"inner": inner, "context": context, "bounds": bounds, "wait_s": wait_s}
    )


def _feed(transport: asyncio.Transport, data: bytes) -> None:
    """Gives the protocol of TLS what was read before it was there."""
    protocol = transport.get_protocol()
    if isinstance(protocol, asyncio.BufferedProtocol) and not transport.is_closing():
        memoryview(protocol.get_buffer(len(data)))[: len(data)] = data
        protocol.buffer_updated(len(data))


def _led(data: bytes) -> bytes:
    """The answer to a request without TLS."""
    asked, host = _ASKED.match(data), _HOST.search(data)
    return _LED % (host[1], asked[1]) if asked and host else _REFUSED
