"""Frames on the line: COBS, a closing zero, a CRC. Reads them out of any stream of bytes.

A reader holds at most one unfinished frame, and what is no frame comes out as Garbled with a
code, so that a byte is never dropped in silence. After garbage it is in step again at the next
zero.
"""

from __future__ import annotations

from dataclasses import dataclass

from unspool.instrument.wire import cobs
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.crc import crc16, with_crc
from unspool.instrument.wire.decoded import Garbled
from unspool.instrument.wire.messages import WireMessage, pack
from unspool.instrument.wire.table import MAX_FRAME

GARBLED_KEPT = MAX_FRAME + 1  # bytes shown of a garbled stretch, however it was cut on its way


@dataclass(frozen=True)
class Frame:
    """A frame whose CRC held: head byte and payload."""

    body: bytes


def frame(message: WireMessage) -> bytes:
    """The bytes of a message on the line."""
    return framed(pack(message))


def framed(body: bytes) -> bytes:
    """The bytes on the line of a frame with this head byte and payload."""
    return cobs.encode(with_crc(body)) + b"\0"


def delimited_frame(message: WireMessage) -> bytes:
    """The same with a zero in front: what noise left on the line before it is no part of it."""
    return b"\0" + frame(message)


class FrameReader:
    def __init__(self) -> None:
        self._held = b""
        self._overlong = False  # dropping the rest of a frame that is longer than any of ours

    def feed(self, data: bytes) -> list[Frame | Garbled]:
        pieces = (self._held + data).split(b"\0")
        rest = pieces.pop()
        out: list[Frame | Garbled] = []
        for piece in pieces:
            if self._overlong:
                self._overlong = False
            elif piece:
                out.append(_read(piece))
        if len(rest) > MAX_FRAME:
            if not self._overlong:
                out.append(Garbled(rest[:GARBLED_KEPT], GarbledCode.TOO_LONG))
            self._overlong = True
            rest = b""
        self._held = rest
        return out

    @property
    def held(self) -> int:
        """Bytes of an unfinished frame; never more than MAX_FRAME."""
        return len(self._held)


def _read(piece: bytes) -> Frame | Garbled:
    if len(piece) > MAX_FRAME:
        return Garbled(piece[:GARBLED_KEPT], GarbledCode.TOO_LONG)
    try:
        body = cobs.decode(piece)
    except ValueError:
        return Garbled(piece, GarbledCode.NOT_COBS)
    if len(body) < 3 or crc16(body):
        return Garbled(piece, GarbledCode.WRONG_CRC)
    return Frame(body[:-2])
