"""Frames on the line: COBS, a closing zero, a CRC. Reads them out of any stream of bytes.

A reader holds at most one unfinished frame, and what is no frame comes out as Garbled with a
code, so that a byte is never dropped in silence. After garbage it is in step again at the next
zero.
"""

from __future__ import annotations

from dataclasses import dataclass

from unspool.instrument.wire import cobs
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.crc import START, crc16, named_start, with_crc
from unspool.instrument.wire.decoded import Garbled
from unspool.instrument.wire.messages import WireMessage, pack
from unspool.instrument.wire.table import MAX_FRAME, MESSAGES

GARBLED_KEPT = MAX_FRAME + 1  # bytes shown of a garbled stretch, however it was cut on its way
NAMED_HEADS = frozenset(message.head for message in MESSAGES if message.named)
NO_BOARD = (0, 0)


@dataclass(frozen=True)
class Frame:
    """A frame whose CRC held: head byte and payload."""

    body: bytes


def frame(message: WireMessage, board: tuple[int, int] = NO_BOARD) -> bytes:
    """The bytes of a message on the line. board: the identity and boot that a named one is for."""
    return framed(pack(message), named_start(*board) if message.row.named else START)


def framed(body: bytes, start: int = START) -> bytes:
    """The bytes on the line of a frame with this head byte and payload."""
    return cobs.encode(with_crc(body, start)) + b"\0"


def delimited_frame(message: WireMessage, board: tuple[int, int] = NO_BOARD) -> bytes:
    """The same with a zero in front: what noise left on the line before it is no part of it."""
    return b"\0" + frame(message, board)


class FrameReader:
    """board: the identity and boot whose named frames are heard; those of others are garbled."""

    def __init__(self, board: tuple[int, int] = NO_BOARD) -> None:
        self.name(board)
        self._held = b""
        self._overlong = False  # dropping the rest of a frame that is longer than any of ours

    def name(self, board: tuple[int, int]) -> None:
        """The board is this one from now on."""
        self._named_start = named_start(*board)

    def feed(self, data: bytes) -> list[Frame | Garbled]:
        pieces = (self._held + data).split(b"\0")
        rest = pieces.pop()
        out: list[Frame | Garbled] = []
        for piece in pieces:
            if self._overlong:
                self._overlong = False
            elif piece:
                out.append(_read(piece, self._named_start))
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


def _read(piece: bytes, named_start: int) -> Frame | Garbled:
    if len(piece) > MAX_FRAME:
        return Garbled(piece[:GARBLED_KEPT], GarbledCode.TOO_LONG)
    try:
        body = cobs.decode(piece)
    except ValueError:
        return Garbled(piece, GarbledCode.NOT_COBS)
    start = named_start if body[:1] and body[0] in NAMED_HEADS else START
    if len(body) < 3 or crc16(body, start):
        return Garbled(piece, GarbledCode.WRONG_CRC)
    return Frame(body[:-2])
