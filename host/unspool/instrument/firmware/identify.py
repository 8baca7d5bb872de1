"""Which firmware a board runs and what it holds, by the hello that it says by itself."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from unspool.errors import LinkError
from unspool.instrument.link import Link
from unspool.instrument.strangers import (
    NO_BOARD_AT_ALL,
    QUESTION,
    StrangerWatch,
    sentence_of,
)
from unspool.instrument.wire.frames import Frame, FrameReader, delimited_frame
from unspool.instrument.wire.messages import Hello, HelloRequest, unpack
from unspool.instrument.wire.table import PROTOCOL, TABLE_HASH

READ_S = 0.1
ASK_AFTER = 0.6  # of the patience; boards say hello by themselves, strangers must be asked
OTHER_VERSION = "firmware of another version"


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

    A board of an older or newer protocol may go unrecognised. Raises LinkError when the link fails,
    or when what is there is certainly no board.
    """
    reader, others, begun, asked = FrameReader(), StrangerWatch(), clock(), False
    while (waited := clock() - begun) < patience_s:
        if not asked and waited > ASK_AFTER * patience_s:
            asked = True
            question = delimited_frame(HelloRequest(0, 0)) + QUESTION
            link.write(question)
            others.sent(question)
        data = link.read(READ_S)
        others.heard(data)
        for item in reader.feed(data):
            if isinstance(item, Frame) and (board := _board(item.body)) is not None:
                return board
    if others.who in NO_BOARD_AT_ALL:
        raise LinkError(sentence_of(others.who, link.place))
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
    ours = message.table_hash == TABLE_HASH
    firmware = message.firmware if ours else OTHER_VERSION  # it may stand elsewhere in its hello
    return IdentifiedBoard(firmware, message.boot, held, ours)
