"""What board and host say to each other: framing, messages, edge coding. Bytes in, values out."""

from unspool.wire.board import BoardSide
from unspool.wire.conversation import Conversation, Known
from unspool.wire.heard import (
    BoardHello,
    BoardStatus,
    EdgeBatch,
    EdgeGap,
    Garbled,
    Heard,
    SensorSamples,
)

__all__ = [
    "BoardHello",
    "BoardSide",
    "BoardStatus",
    "Conversation",
    "EdgeBatch",
    "EdgeGap",
    "Garbled",
    "Heard",
    "Known",
    "SensorSamples",
]
