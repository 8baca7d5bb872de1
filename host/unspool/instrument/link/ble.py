"""A board behind a Bluetooth Low Energy module that passes its UART on.

bleak lives in an asyncio loop on a thread of its own; the recorder reads and writes as on a cable.
A connection may die without a word from the system: its daemon restarts, the module loses power in
the middle of a packet. A board says something at least once a second, so silence is taken for the
end of the connection.
"""

from __future__ import annotations

import asyncio
import concurrent.futures
import contextlib
import threading
import time
from dataclasses import dataclass

from unspool.errors import LinkError
from unspool.instrument.link.base import Link
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.ble_errors import dropped, silent, why_not
from unspool.instrument.link.ble_inbox import Inbox
from unspool.instrument.link.ble_scan import find
from unspool.instrument.link.ble_session import DROP_S, BleSession
from unspool.instrument.link.ble_thread import LoopThread
from unspool.language import Phrase

# What one connection event brings arrives as several packets; one wait here saves the recorder a
# disk sync for every twenty bytes.
GATHER_S = 0.01


@dataclass(frozen=True)
class BleTimeouts:
    """Seconds before something is given up.

    scan_s: until the device shows itself. linger_s: for another of the same name. idle_s: of
    silence; five of the board's status frames.
    """

    scan_s: float = 8.0
    linger_s: float = 1.0
    connect_s: float = 10.0
    write_s: float = 3.0
    idle_s: float = 5.0

    @property
    def open_s(self) -> float:
        return self.scan_s + self.linger_s + self.connect_s + 2 * DROP_S


class BleLink(Link):
    """`address` as `ble_address` makes it."""

    lasting = True

    def __init__(self, address: BleAddress, patience: BleTimeouts | None = None) -> None:
        self.spec = f"ble:{address.name}"
        self._address = address
        self._patience = patience or BleTimeouts()
        self.rate = self._address.rate
        self._known: str | None = None  # the address that the name led to
        self._loop: LoopThread | None = None
        self._session: BleSession | None = None
        self._inbox = Inbox()
        self._given_up = threading.Event()

    def open(self) -> None:
        self._let_go()
        if self._loop is None:
            self._loop = LoopThread(f"unspool {self.spec}")
        self._inbox = Inbox()
        session = BleSession(self._inbox.take, self._inbox.end)
        try:
            self._loop.run(self._connect(session), self._patience.open_s, cancellable=True)
        except concurrent.futures.CancelledError as error:
            raise LinkError(self._broken_off()) from error
        except Exception as error:  # each system's backend raises kinds of its own
            raise LinkError(why_not(error, self._address.name)) from error
        self._session = session

    def read(self, timeout_s: float) -> bytes:
        self._opened()
        if self._inbox.wait(timeout_s):
            time.sleep(GATHER_S)
            return self._inbox.get()
        if self._inbox.ended:
            self._let_go()
            raise LinkError(dropped(self._address.name))
        if self._inbox.silent_s > self._patience.idle_s:
            self._let_go()
            raise LinkError(silent(self._address.name, self._patience.idle_s, self._inbox.ever))
        return b""

    def write(self, data: bytes) -> None:
        loop, session = self._opened()
        try:
            loop.run(self._send(session, data), self._patience.write_s)
        except Exception as error:  # bleak's words for a device that is gone are many
            self._let_go()
            gone = self._inbox.ended or isinstance(error, TimeoutError)
            name = self._address.name
            raise LinkError(dropped(name) if gone else why_not(error, name)) from error

    def close(self) -> None:
        self._let_go()
        loop, self._loop = self._loop, None
        if loop is not None:
            loop.stop()
        self._given_up.clear()

    def give_up(self) -> None:
        self._given_up.set()
        if (loop := self._loop) is not None:
            loop.cancel()

    async def _connect(self, session: BleSession) -> None:
        if self._given_up.is_set():
            raise LinkError(self._broken_off())
        patience = self._patience
        device = await find(self._address, self._known, patience.scan_s, patience.linger_s)
        await session.connect(device, self._address, patience.connect_s)
        self._known = device.address

    async def _send(self, session: BleSession, data: bytes) -> None:
        async with asyncio.timeout(self._patience.write_s):
            await session.write(data)

    def _let_go(self) -> None:
        session, self._session = self._session, None
        if session is not None and self._loop is not None:
            # a system that hangs does not keep a link from closing
            with contextlib.suppress(TimeoutError):
                self._loop.run(session.drop(), DROP_S)

    def _opened(self) -> tuple[LoopThread, BleSession]:
        if self._loop is None or self._session is None:
            raise LinkError(
                Phrase("the Bluetooth link to {name} is not open", name=self._address.name)
            )
        return self._loop, self._session

    def _broken_off(self) -> str:
        return Phrase("the search for {name} was broken off", name=self._address.name)
