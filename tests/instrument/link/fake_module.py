"""A transparent Bluetooth module between a board's UART and the fake radio."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

SHORT = "0000{}-0000-1000-8000-00805f9b34fb"
SERVICE = SHORT.format("ffe0")


@dataclass(frozen=True)
class Characteristic:
    uuid: str
    flags: tuple[str, ...]


BOTH_WAYS = (Characteristic(SHORT.format("ffe1"), ("notify", "write-without-response")),)


class Module:
    """The board's end of a line; `link` and `packets` are the radio's.

    mtu: 3 bytes more than a packet carries. rate: bytes a second by radio. buffer: bytes that wait
    for the radio at most. What comes on top is lost, and counted.
    """

    def __init__(
        self,
        name: str = "Sandpiper",
        address: str = "00:00:5E:00:53:01",
        service: str = SERVICE,
        characteristics: tuple[Characteristic, ...] = BOTH_WAYS,
        mtu: int = 23,
        rate: float = 2000.0,
        buffer: int = 4096,
    ) -> None:
        self.name, self.address, self.service = name, address, service
        self.characteristics, self.mtu, self.rssi = characteristics, mtu, -60
        self.in_reach = self.answers = True
        self.subscribed: Any = None
        self.lost = 0
        self.carried = 0
        self.longest_packet = 0
        self.writes: list[tuple[str, int, str]] = []  # characteristic, bytes, command or request
        self._rate, self._buffer = rate, buffer
        self._lock = threading.Lock()
        self._to_host, self._to_board = bytearray(), bytearray()
        self._paid_s = 0.0

    def send(self, data: bytes) -> None:
        """From the board. Without a host that listens it goes nowhere."""
        with self._lock:
            if self.subscribed is None:
                return
            room = max(0, self._buffer - len(self._to_host))
            self._to_host += data[:room]
            self.lost += len(data) - len(data[:room])

    def heard(self) -> bytes:
        """What the host wrote since the last call."""
        with self._lock:
            heard, self._to_board = bytes(self._to_board), bytearray()
            return heard

    def written(self, uuid: str, data: bytes, kind: str) -> None:
        self.writes.append((uuid, len(data), kind))
        with self._lock:
            if self.in_reach:
                self._to_board += data

    def linked(self, connected: bool) -> None:
        with self._lock:
            self._to_host.clear()
            if not connected:
                self.subscribed = None

    def packets(self) -> Iterator[bytes]:
        """What goes out in the connection event that is now."""
        now = time.monotonic()
        # an idle radio does not save its time up for later
        self._paid_s = max(self._paid_s, now - 0.02)
        while self._paid_s < now:
            with self._lock:
                packet = bytes(self._to_host[: self.mtu - 3])
                del self._to_host[: len(packet)]
            if not packet:
                return
            self._paid_s += len(packet) / self._rate
            self.carried += len(packet)
            self.longest_packet = max(self.longest_packet, len(packet))
            yield packet
