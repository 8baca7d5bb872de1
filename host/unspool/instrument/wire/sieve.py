"""Sieve: whole frames out of any stream of bytes. What is none is counted, and its first kept.

So a recording grows with what a board says, and not with the noise on its line.
"""

from __future__ import annotations

from unspool.instrument.wire.frames import Frame, FrameReader, framed
from unspool.instrument.wire.messages import Hello, MessageError, unpack

SAMPLE_BYTES = 4096


class Sieve:
    """One link's stream. It holds at most one unfinished frame, and SAMPLE_BYTES of the rest."""

    def __init__(self) -> None:
        self._reader = FrameReader()
        self._received = self._passed = self._counted = 0
        self._sample = bytearray()
        self._room = SAMPLE_BYTES

    def feed(self, data: bytes) -> bytes:
        """The frames that end in these bytes, each with its closing zero."""
        out = bytearray()
        for item in self._reader.feed(data):
            if isinstance(item, Frame):
                out += framed(item.body)
            else:
                self._keep(item.data)
        self._received += len(data) - data.count(0)
        self._passed += len(out) - out.count(0)
        return bytes(out)

    def take_count(self) -> int:
        """How many bytes no frame explains, since the last call; zeros end frames and are none."""
        stray = self._received - self._passed - self._reader.held
        new, self._counted = max(0, stray - self._counted), max(stray, self._counted)
        return new

    def take_sample(self) -> bytes:
        """The first of them, those that were not taken yet."""
        taken, self._sample = bytes(self._sample), bytearray()
        return taken

    def _keep(self, garbled: bytes) -> None:
        kept = garbled[: self._room]
        self._room -= len(kept)
        self._sample += kept


def from_hello(frames: bytes, identity: int, boot: int) -> bytes:
    """The frames from the first hello of this boot of this board on; none without one."""
    reader, at = FrameReader(), 0
    for piece in frames.split(b"\0"):
        for item in reader.feed(piece + b"\0"):
            if isinstance(item, Frame) and _is_hello(item, identity, boot):
                return frames[at:]
        at += len(piece) + 1
    return b""


def _is_hello(frame: Frame, identity: int, boot: int) -> bool:
    try:
        message = unpack(frame.body)
    except MessageError:
        return False
    return isinstance(message, Hello) and (message.identity, message.boot) == (identity, boot)
