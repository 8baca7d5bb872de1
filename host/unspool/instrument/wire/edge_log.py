"""The board's log: coded edges in a ring of bytes, cut into blocks that stand alone.

Log positions count bytes from boot and never go back. Memory is given back a whole block at a
time, so that the block being written can always be decoded from its start. If memory runs out
the oldest block goes, and its unacknowledged edges are counted as lost.

firmware/core/log.c is the same in C; a test holds the two together byte for byte.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from unspool.instrument.wire.decoder import BlockHeader
from unspool.instrument.wire.encoder import BlockEncoder
from unspool.instrument.wire.table import BLOCK_BYTES, BLOCK_HEADER, BYTES_A_BLOCK, MAX_SLOTS

ROOM = 2 * BLOCK_HEADER  # a header, or the longest code and a closing code, always fit in this
TICKS_MASK = (1 << 40) - 1


@dataclass
class Block:
    position: int
    first_edge: int
    data: bytearray = field(default_factory=bytearray)
    bits: int = 0
    edges: int = 0

    @property
    def end(self) -> int:
        """EdgeLog position behind its last byte, be that byte full or not."""
        return self.position + len(self.data)

    def put(self, value: int, count: int) -> None:
        """Append `count` bits, the most significant first."""
        free = -self.bits % 8
        held = self.data.pop() >> free if free else 0
        total = value | held << count
        width = count + (8 - free if free else 0)
        padded = -width % 8
        self.data += (total << padded).to_bytes((width + padded) // 8, "big")
        self.bits += count


class EdgeLog:
    def __init__(self, capacity: int) -> None:
        if capacity < 2 * (BLOCK_BYTES + ROOM):
            raise ValueError(f"a log of {capacity} bytes does not hold two blocks")
        self.capacity = capacity
        self.next_edge = 0
        self.acknowledged_edge = 0
        self.acknowledged = 0
        self.edges_lost = 0
        self.end = 0
        self.blocks: list[Block] = []
        self._encoder: BlockEncoder | None = None
        self._ticks = 0
        self._restarted_at: int | None = None  # if no edge came since the last reset

    def resume(self, ticks: int) -> None:
        """Goes on after a reset, with the clock at `ticks`."""
        self.close()
        self._restarted_at = ticks

    @property
    def oldest(self) -> tuple[int, int]:
        """EdgeLog position and first edge of what is kept."""
        if not self.blocks:
            return self.end, self.next_edge
        return self.blocks[0].position, self.blocks[0].first_edge

    @property
    def used(self) -> int:
        return self.end - self.oldest[0]

    @property
    def valid_bits(self) -> int:
        """Bits of the log up to its end, counted from boot."""
        block = self.blocks[-1] if self.blocks else None
        return self.end * 8 - (-block.bits % 8 if block else 0)

    def edge(self, ticks: int, direction: int, slots: int) -> None:
        while self.capacity - self.used < ROOM:
            self._drop_oldest()
        if self._encoder and ticks - self._ticks >= 1 << 32:
            self.close()
        if self._encoder is None:
            self._open(ticks, direction, slots)
        else:
            self._put(*self._encoder.interval(ticks - self._ticks, direction))
        self._ticks = ticks
        self.next_edge += 1
        self.blocks[-1].edges += 1
        if len(self.blocks[-1].data) >= BLOCK_BYTES:
            self.close()

    def close(self) -> None:
        """End the block being written; the next edge starts another."""
        if self._encoder is None:
            return
        self._put(*self._encoder.end())
        self._put(0, -self.blocks[-1].bits % 8)
        self._encoder = None

    def missed(self, count: int) -> None:
        """`count` edges happened that never reached the log."""
        self.close()
        self.next_edge += count
        self.edges_lost += count

    def acknowledge(self, position: int, edge: int) -> None:
        self.acknowledged = max(self.acknowledged, min(position, self.valid_bits // 8))
        self.acknowledged_edge = max(self.acknowledged_edge, min(edge, self.next_edge))
        while self.blocks and self.blocks[0].end <= self.acknowledged:
            if self._encoder and len(self.blocks) == 1:
                break
            del self.blocks[0]

    def block_at(self, position: int) -> Block | None:
        """The kept block that holds this log position, or will hold it."""
        for block in self.blocks:
            growing = self._encoder is not None and block is self.blocks[-1]
            if block.position <= position < block.end + growing:
                return block
        return None

    def block_of_edge(self, edge: int) -> Block | None:
        """The last kept block that begins at or before this edge, else the oldest."""
        before = [block for block in self.blocks if block.first_edge <= edge]
        return before[-1] if before else self.blocks[0] if self.blocks else None

    def _open(self, ticks: int, direction: int, slots: int) -> None:
        if len(self.blocks) == self.capacity // BYTES_A_BLOCK:
            self._drop_oldest()
        slots = slots if slots <= MAX_SLOTS else 0
        header = BlockHeader(
            self.next_edge, ticks & TICKS_MASK, direction, slots, self._restarted_at
        )
        self._restarted_at = None
        self.blocks.append(Block(self.end, self.next_edge))
        self._put(int.from_bytes(header.pack(), "big"), header.size * 8)
        self._encoder = BlockEncoder(slots, direction)

    def _put(self, value: int, count: int) -> None:
        self.blocks[-1].put(value, count)
        self.end = self.blocks[-1].end

    def _drop_oldest(self) -> None:
        gone = self.blocks.pop(0)
        after = gone.first_edge + gone.edges  # missed ones behind it are counted already
        self.edges_lost += max(0, after - max(gone.first_edge, self.acknowledged_edge))
