"""What board and host say to each other: framing, messages, edge coding. Bytes come in.

Values go out, and the reverse. Nothing here opens a port or reads a clock.
"""

from unspool.instrument.wire.board import BoardSide
from unspool.instrument.wire.conversation import Conversation, ResumePoint
from unspool.instrument.wire.decoded import (
    BoardHello,
    BoardRestarted,
    BoardStatus,
    Decoded,
    EdgeBatch,
    EdgeGap,
    Garbled,
    SensorSamples,
)

__all__ = [
    "BoardHello",
    "BoardRestarted",
    "BoardSide",
    "BoardStatus",
    "Conversation",
    "Decoded",
    "EdgeBatch",
    "EdgeGap",
    "Garbled",
    "ResumePoint",
    "SensorSamples",
]
