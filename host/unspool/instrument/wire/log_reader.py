"""The host's copy of the board's log: frames in, numbered edges and gaps out.

Frames may come twice and overlap. A frame beyond what is here shows a `hole`, which the caller asks
the board to fill. An EdgeGap comes only if the board says that edges are gone (jump), or if a block
begins with a later edge than the one that was expected.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise, zip_longest

import numpy as np

from unspool.instrument.wire.batch_decoder import decode_blocks
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.decoded import BoardRestarted, EdgeBatch, EdgeGap, Garbled
from unspool.instrument.wire.decoder import BlockDecoder, BlockHeader
from unspool.instrument.wire.messages import Edges
from unspool.instrument.wire.prediction import LONGEST_CODE
from unspool.instrument.wire.table import (
    BLOCK_BYTES,
    BLOCK_STARTS,
    POSITION_BITS,
    UNUSED_BITS_MASK,
)

BLOCK_MAX = BLOCK_BYTES + 2 * LONGEST_CODE // 8  # the edge that fills it, and the closing code
FARTHEST = 1 << 24  # edges in one gap; a block beyond is a spoilt number, not days of loss
FEWEST_LANES = 16  # below, one block after the other is faster

LogItem = EdgeBatch | EdgeGap | BoardRestarted | Garbled


@dataclass
class _Arriving:
    """A block as far as it has arrived."""

    data: bytearray = field(default_factory=bytearray)
    bits: int = 0
    decoder: BlockDecoder = field(default_factory=BlockDecoder)
    reported: bool = False  # that its rest cannot be decoded
    restart_reported: bool = False

    def whole_header(self) -> BlockHeader | None:
        return BlockHeader.unpack(self.data)

    def append(self, log: bytes, unused: int) -> None:
        if len(self.data) > BLOCK_MAX:
            self.decoder.fault = GarbledCode.BLOCK_TOO_LONG
            return
        del self.data[self.bits >> 3 :]
        self.data += log
        self.bits = len(self.data) * 8 - unused


class LogReader:
    """Reads one board's log from one boot.

    position: log bytes here in full, from boot. hole: the last frame came without the log before
    it.
    """

    def __init__(self, position: int, next_edge: int) -> None:
        self.position = position
        self.next_edge = next_edge
        self.hole = False
        self._blocks: list[_Arriving] = []

    def frame(self, message: Edges) -> None:
        """Takes a frame."""
        self.hole = not self._append(message)

    def _append(self, message: Edges) -> bool:
        """False if the log before the frame is missing here."""
        starts = bool(message.marks & BLOCK_STARTS)
        unused = message.marks & UNUSED_BITS_MASK
        known = self._ahead_of(message)
        if known < 0 or not message.log:
            return False
        if known > len(message.log):
            return True
        if starts and not known:
            self._begin_block()
        elif not self._blocks:
            return False
        block = self._blocks[-1]
        if known == len(message.log) or self._bits_after(message, known, unused) <= block.bits:
            return True
        block.append(message.log[known:], unused)
        self.position += len(message.log) - known - (unused > 0)
        return True

    def _ahead_of(self, message: Edges) -> int:
        """Bytes from the frame's first to `position`, by the shorter way round of its few bits."""
        half = 1 << POSITION_BITS - 1
        return (self.position - message.place + half) % (2 * half) - half

    def _begin_block(self) -> None:
        """A block starts at `position`; the same start may come again while it is not yet whole."""
        if not self._blocks or self._blocks[-1].bits >= 8:
            self._blocks.append(_Arriving())

    def _bits_after(self, message: Edges, known: int, unused: int) -> int:
        """Bits that the open block would have with this frame."""
        return (self._blocks[-1].bits & ~7) + (len(message.log) - known) * 8 - unused

    def take(self) -> list[LogItem]:
        """Decode what has arrived since the last call."""
        out: list[LogItem] = []
        for run in _runs(self._blocks):
            if len(run.counts) < FEWEST_LANES:
                for block in run.blocks:
                    self._decode(block, out)
            else:
                self._decode_run(run, out)
        del self._blocks[:-1]
        return out

    def _decode_run(self, run: _Run, out: list[LogItem]) -> None:
        counts = np.array(run.counts)
        ends = np.cumsum(counts)
        ticks, direction, sound = decode_blocks([bytes(b.data) for b in run.blocks], counts)
        number = np.arange(len(ticks)) + run.first_edge
        cuts = [0, *(np.flatnonzero(np.diff(sound)) + 1).tolist(), len(sound)]
        for one, two in pairwise(cuts):
            if sound[one]:
                part = slice(ends[one] - counts[one], ends[two - 1])
                self._add(EdgeBatch(number[part], ticks[part], direction[part]), out)
            else:
                for block in run.blocks[one:two]:
                    self._decode(block, out)

    def jump(self, position: int, edge: int) -> list[LogItem]:
        """The board keeps nothing before this position, where a block with this edge begins."""
        out = self.take()
        self._blocks.clear()
        self.position = position
        self._expect(edge, out)
        return out

    def _expect(self, edge: int, out: list[LogItem]) -> None:
        if edge > self.next_edge:
            out.append(EdgeGap(self.next_edge, edge - self.next_edge))
            self.next_edge = edge

    def _decode(self, block: _Arriving, out: list[LogItem]) -> None:
        batch = block.decoder.decode(block.data, block.bits)
        if batch is not None:
            if batch.number[0] > self.next_edge + FARTHEST:
                block.decoder.fault = GarbledCode.BLOCK_OUT_OF_REACH
            else:
                self._note_restart(block, int(batch.number[0]), out)
                self._add(batch, out)
        if block.decoder.fault and not block.reported:
            block.reported = True
            out.append(Garbled(bytes(block.data), block.decoder.fault))

    def _note_restart(self, block: _Arriving, first: int, out: list[LogItem]) -> None:
        """Before the block's first edges, unless they are known, and with them the restart."""
        ticks = block.decoder.restarted_at
        if ticks is None or block.restart_reported:
            return
        block.restart_reported = True
        if first >= self.next_edge:
            self._expect(first, out)
            out.append(BoardRestarted(first, ticks))

    def _add(self, batch: EdgeBatch, out: list[LogItem]) -> None:
        """Pass on what is new of a batch."""
        first = int(batch.number[0])
        self._expect(first, out)
        known = self.next_edge - first
        if known >= len(batch.number):
            return
        fresh = EdgeBatch(batch.number[known:], batch.ticks[known:], batch.direction[known:])
        self.next_edge = first + len(batch.number)
        previous = out[-1] if out else None
        if isinstance(previous, EdgeBatch):
            out[-1] = _joined(previous, fresh)
        else:
            out.append(fresh)


@dataclass
class _Run:
    """Blocks behind each other, of one slot count if `counts` says how many edges each holds."""

    blocks: list[_Arriving] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)
    first_edge: int = 0
    slots: int = -1  # none yet


def _runs(blocks: list[_Arriving]) -> list[_Run]:
    """Cut the blocks into runs that can be decoded at once, and others."""
    runs = [_Run()]
    for block, after in zip_longest(blocks, blocks[1:]):
        header = block.whole_header()
        following = after.whole_header() if after else None
        begun = block.decoder.next_edge is not None
        if header is None or following is None or begun or header.restarted_at is not None:
            runs += [_Run([block]), _Run()]
            continue
        count = following.edge - header.edge
        if not 0 < count <= block.bits:  # an edge takes at least a bit
            runs += [_Run([block]), _Run()]
            continue
        if runs[-1].slots not in (-1, header.slots):
            runs.append(_Run())
        run = runs[-1]
        if not run.blocks:
            run.first_edge, run.slots = header.edge, header.slots
        run.blocks.append(block)
        run.counts.append(count)
    return [run for run in runs if run.blocks]


def _joined(one: EdgeBatch, two: EdgeBatch) -> EdgeBatch:
    return EdgeBatch(
        np.concatenate((one.number, two.number)),
        np.concatenate((one.ticks, two.ticks)),
        np.concatenate((one.direction, two.direction)),
    )
