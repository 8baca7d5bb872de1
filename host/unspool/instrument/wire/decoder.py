"""The bits of a block back to edges, as far as they have arrived."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.decoded import EdgeBatch
from unspool.instrument.wire.prediction import (
    END,
    ESCAPE_BITS,
    INVALID,
    LENGTH_BITS,
    LONG,
    TURNED,
    UNARY_LIMIT,
    IntervalPredictor,
    unfold,
)
from unspool.instrument.wire.table import BLOCK_HEADER, BLOCK_RESTARTED, RESTART_BYTES

WINDOW = 64  # bits looked at for one code; the longest code and a started byte fit


@dataclass(frozen=True)
class BlockHeader:
    """Where a block begins: its first edge. `slots` 0: edges a turn not known.

    restarted_at: the clock when the board last restarted, if it did since the block before.
    """

    edge: int
    ticks: int
    direction: int
    slots: int
    restarted_at: int | None = None

    @property
    def size(self) -> int:
        return BLOCK_HEADER + (0 if self.restarted_at is None else RESTART_BYTES)

    def pack(self) -> bytes:
        marks = self.slots << 1 | (self.direction > 0)
        restart = b""
        if self.restarted_at is not None:
            marks |= BLOCK_RESTARTED
            restart = self.restarted_at.to_bytes(RESTART_BYTES, "little")
        return (
            self.edge.to_bytes(4, "little")
            + self.ticks.to_bytes(5, "little")
            + marks.to_bytes(1, "little")
            + restart
        )

    @staticmethod
    def unpack(data: bytes | bytearray) -> BlockHeader | None:
        """None if the header is not whole."""
        if len(data) < BLOCK_HEADER:
            return None
        restarted = bool(data[9] & BLOCK_RESTARTED)
        if restarted and len(data) < BLOCK_HEADER + RESTART_BYTES:
            return None
        return BlockHeader(
            edge=int.from_bytes(data[0:4], "little"),
            ticks=int.from_bytes(data[4:9], "little"),
            direction=1 if data[9] & 1 else -1,
            slots=(data[9] & ~BLOCK_RESTARTED) >> 1,
            restarted_at=int.from_bytes(data[10:15], "little") if restarted else None,
        )


class BlockDecoder:
    """Decodes one block step by step. `ended` once its closing code was read.

    next_edge is the number of the edge that comes next, or None before the header is whole. `fault`
    says why the rest of the block cannot be decoded: bits that no encoder writes.
    """

    def __init__(self) -> None:
        self.ended = False
        self.fault: GarbledCode | None = None
        self.next_edge: int | None = None
        self.restarted_at: int | None = None  # as in the header
        self._bit = 0
        self._ticks = 0
        self._direction = 1
        self._prediction = IntervalPredictor(0)

    def decode(self, block: bytes | bytearray, bits: int) -> EdgeBatch | None:
        """Decode what `block`, of which the first `bits` are valid, holds beyond the last call."""
        ticks: list[int] = []
        directions: list[int] = []
        if self.next_edge is None:
            header = BlockHeader.unpack(block[: bits >> 3])
            if header is None:
                return None
            self._begin(header, ticks, directions)
        while not self.ended and not self.fault and self._step(block, bits):
            ticks.append(self._ticks)
            directions.append(self._direction)
        return self._batch(ticks, directions)

    def _begin(self, header: BlockHeader, ticks: list[int], directions: list[int]) -> None:
        self.next_edge, self.restarted_at = header.edge, header.restarted_at
        self._bit = header.size * 8
        self._ticks, self._direction = header.ticks, header.direction
        self._prediction = IntervalPredictor(header.slots)
        ticks.append(header.ticks)
        directions.append(header.direction)

    def _batch(self, ticks: list[int], directions: list[int]) -> EdgeBatch | None:
        if not ticks or self.next_edge is None:
            return None
        first = self.next_edge
        self.next_edge += len(ticks)
        return EdgeBatch(
            np.arange(first, self.next_edge, dtype=np.int64),
            np.array(ticks, dtype=np.int64),
            np.array(directions, dtype=np.int8),
        )

    def _step(self, block: bytes | bytearray, bits: int) -> bool:
        """Read one code; False if the rest of it has not arrived, or the block ends."""
        at = self._bit
        if at >= bits:
            return False
        start = at >> 3
        window = int.from_bytes(block[start : start + 8], "big")
        window <<= 8 * max(0, start + 8 - len(block))
        window = window << (at & 7) & (1 << WINDOW) - 1
        ones = WINDOW - (window ^ (1 << WINDOW) - 1).bit_length()
        if ones >= UNARY_LIMIT:
            return self._escape(window, bits)
        state = self._prediction
        size = ones + 1 + state.rice
        if at + size > bits:
            return False
        if state.value < 0:
            return self._spoilt(GarbledCode.BLOCK_UNPREDICTED)
        folded = ones << state.rice | window >> (WINDOW - size) & (1 << state.rice) - 1
        interval = state.value + unfold(folded)
        if not 0 <= interval < LONG:
            return self._spoilt(GarbledCode.BLOCK_INTERVAL)
        state.coded(interval, folded)
        self._ticks += interval
        self._bit = at + size
        return True

    def _escape(self, window: int, bits: int) -> bool:
        size = UNARY_LIMIT + ESCAPE_BITS
        if self._bit + size > bits:
            return False
        kind = window >> (WINDOW - size) & (1 << ESCAPE_BITS) - 1
        if kind == INVALID:
            return self._spoilt(GarbledCode.BLOCK_ESCAPE)
        if kind == END:
            self.ended = True
            return False
        size += LENGTH_BITS
        length = (window >> (WINDOW - size) & (1 << LENGTH_BITS) - 1) + 1
        size += length
        if self._bit + size > bits:
            return False
        interval = window >> (WINDOW - size) & (1 << length) - 1
        if kind == TURNED:
            self._direction = -self._direction
            self._prediction.turned()
        else:
            self._prediction.escaped(interval)
        self._ticks += interval
        self._bit += size
        return True

    def _spoilt(self, fault: GarbledCode) -> bool:
        self.fault = fault
        return False
