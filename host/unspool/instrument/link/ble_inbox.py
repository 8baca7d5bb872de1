"""Inbox: what one Bluetooth connection brought, from the loop that hears it to the caller."""

from __future__ import annotations

import threading
import time


class Inbox:
    """`take` and `end` are the loop's; the rest is the caller's."""

    def __init__(self) -> None:
        self.ever = False  # whether anything came at all
        self.ended = False  # whether the system said that the connection is gone
        self._changed = threading.Condition()
        self._data = bytearray()
        self._last_s = time.monotonic()

    def take(self, data: bytes) -> None:
        with self._changed:
            self._data += data
            self.ever = True
            self._last_s = time.monotonic()
            self._changed.notify_all()

    def end(self) -> None:
        with self._changed:
            self.ended = True
            self._changed.notify_all()

    def wait(self, timeout_s: float) -> bool:
        """Whether something is there, within this time or until the connection is gone."""
        with self._changed:
            self._changed.wait_for(lambda: self._data or self.ended, timeout_s)
            return bool(self._data)

    def get(self) -> bytes:
        with self._changed:
            data, self._data = bytes(self._data), bytearray()
            return data

    @property
    def silent_s(self) -> float:
        """Seconds since the last bytes came, or since the beginning."""
        return time.monotonic() - self._last_s
