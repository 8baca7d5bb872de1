"""Which firmware a board runs and what it holds, by the hello that it says by itself."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from unspool.instrument.link import Link
from unspool.instrument.wire.frames import Frame, FrameReader
from unspool.instrument.wire.messages import Hello, unpack
from unspool.instrument.wire.table import PROTOCOL, TABLE_HASH

READ_S = 0.1


@dataclass(frozen=True)
class IdentifiedBoard:
    """held: edges that no host has acknowledged. speaks_ours: the message table is this one's."""

    firmware: str
    boot: int
    held: int
    speaks_ours: bool


def identify_board(
    link: Link, patience_s: float, clock: Callable[[], float] = time.monotonic
) -> IdentifiedBoard | None:
    """The board on an opened link, or None if none said hello in time.

    A board of an older or newer protocol may go unrecognised. Raises LinkError when the link fails.
    """
    reader, end = FrameReader(), clock() + patience_s
    while clock() < end:
        for item in reader.feed(link.read(READ_S)):
            if isinstance(item, Frame) and (board := _board(item.body)) is not None:
                return board
    return None


def _board(body: bytes) -> IdentifiedBoard | None:
    if body[0] >> 4 != PROTOCOL:
        return None
    try:
        message = unpack(body)
    except ValueError:
        return None
    if not isinstance(message, Hello):
        return None
    held = max(0, message.next_edge - message.acknowledged_edge)
    return IdentifiedBoard(message.firmware, message.boot, held, message.table_hash == TABLE_HASH)
