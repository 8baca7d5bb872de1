"""A board inside this program: no port, no cable."""

from __future__ import annotations

import threading

from unspool.errors import LinkError
from unspool.instrument.link.base import Link, LinkEndedError
from unspool.language import Phrase

_LONGEST_WAIT_S = 3600.0


class Pipe:
    """Two directions of bytes between a link and the board behind it; safe between threads."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._to_host = bytearray()
        self._to_board = bytearray()
        self._cut = False
        self._ended = False

    def send(self, data: bytes) -> None:
        """Lost, as on a cable that is out, while the pipe is cut."""
        with self._changed:
            if not self._cut:
                self._to_host += data
                self._changed.notify_all()

    def heard(self) -> bytes:
        """What the host sent since the last call."""
        with self._changed:
            heard, self._to_board = bytes(self._to_board), bytearray()
            return heard

    def cut(self, out: bool = True) -> None:
        """Pulls the cable, or plugs it in again."""
        with self._changed:
            self._cut = out
            if out:
                self._to_host.clear()
                self._to_board.clear()
            self._changed.notify_all()

    def close(self) -> None:
        """The board will send no more."""
        with self._changed:
            self._ended = True
            self._changed.notify_all()

    def host_reads(self, timeout_s: float) -> bytes:
        with self._changed:
            self._changed.wait_for(
                lambda: self._to_host or self._cut or self._ended, min(timeout_s, _LONGEST_WAIT_S)
            )
            if self._cut:
                raise LinkError(Phrase("the virtual board's cable is out"))
            if self._ended and not self._to_host:
                raise LinkEndedError(Phrase("the virtual board has finished"))
            heard, self._to_host = bytes(self._to_host), bytearray()
            return heard

    def host_writes(self, data: bytes) -> None:
        with self._changed:
            if self._cut:
                raise LinkError(Phrase("the virtual board's cable is out"))
            self._to_board += data


class VirtualLink(Link):
    """The host's end of a pipe."""

    spec = "virtual:"

    def __init__(self, pipe: Pipe) -> None:
        self._pipe = pipe

    def open(self) -> None:
        self._pipe.host_writes(b"")

    def read(self, timeout_s: float) -> bytes:
        return self._pipe.host_reads(timeout_s)

    def write(self, data: bytes) -> None:
        self._pipe.host_writes(data)

    def close(self) -> None:
        """There is nothing to let go of."""
