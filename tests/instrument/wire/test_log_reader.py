"""The host's copy of the log: frames that overlap, repeat, are missing, or cannot be decoded."""

from __future__ import annotations

import random

import pytest

from golden_wire import BLOCK, BLOCK_EDGES
from unspool.instrument.wire.decoded import EdgeBatch, EdgeGap, Garbled
from unspool.instrument.wire.edge_log import EdgeLog
from unspool.instrument.wire.log_reader import LogReader
from unspool.instrument.wire.messages import Edges
from unspool.instrument.wire.table import BLOCK_STARTS


def piece(start: int, end: int, bits: int | None = None) -> Edges:
    """Bytes start to end of the golden block, the last with only so many bits of it."""
    data = bytearray(BLOCK[start:end])
    unused = 0 if bits is None else 8 - bits
    data[-1] &= 0xFF << unused & 0xFF
    return Edges.at(start, unused | (BLOCK_STARTS if start == 0 else 0), bytes(data))


def edges(items: list[EdgeBatch | EdgeGap | Garbled]) -> list[tuple[int, int, int]]:
    batches = [item for item in items if isinstance(item, EdgeBatch)]
    return [
        (int(n), int(t), int(d))
        for b in batches
        for n, t, d in zip(b.number, b.ticks, b.direction, strict=True)
    ]


def test_overlapping_and_repeated_frames_are_read_once() -> None:
    reader = LogReader(0, 5)
    frames = [piece(0, 12), piece(0, 12), piece(3, 16, 4), piece(0, 15), piece(15, 16, 2)]
    frames += [piece(15, 16, 8), piece(10, 21), piece(0, 21)]
    read = []
    for message in frames:
        reader.frame(message)
        assert not reader.hole
        read += reader.take()
    assert edges(read) == list(BLOCK_EDGES)
    assert reader.position == 21


def test_a_frame_beyond_a_hole_is_refused_and_changes_nothing() -> None:
    reader = LogReader(0, 5)
    reader.frame(piece(0, 12))
    assert not reader.hole
    reader.frame(piece(13, 21))
    assert reader.hole
    assert reader.position == 12
    reader.frame(piece(12, 21))
    assert not reader.hole
    assert edges(reader.take()) == list(BLOCK_EDGES)


def test_a_block_cannot_be_joined_in_its_middle() -> None:
    reader = LogReader(12, 7)
    reader.frame(piece(12, 21))
    assert reader.hole
    assert reader.take() == []


def test_an_unfinished_byte_does_not_count_as_here() -> None:
    reader = LogReader(0, 5)
    reader.frame(piece(0, 16, 5))
    assert reader.position == 15
    assert len(edges(reader.take())) == 4


def test_edges_that_the_host_has_are_passed_over() -> None:
    reader = LogReader(0, 7)
    reader.frame(piece(0, 21))
    assert edges(reader.take()) == list(BLOCK_EDGES[2:])


def test_a_block_that_begins_later_than_expected_is_a_gap() -> None:
    reader = LogReader(0, 2)
    reader.frame(piece(0, 21))
    gap, batch = reader.take()
    assert gap == EdgeGap(first=2, count=3)
    assert edges([batch]) == list(BLOCK_EDGES)


def test_a_jump_keeps_what_was_here_and_tells_what_is_gone() -> None:
    reader = LogReader(0, 5)
    reader.frame(piece(0, 16))
    read = reader.jump(position=500, edge=100)
    assert edges(read) == list(BLOCK_EDGES[:4])
    assert read[-1] == EdgeGap(first=9, count=91)
    assert reader.position == 500


def test_a_block_that_cannot_be_decoded_is_told_once_and_its_edges_are_a_gap() -> None:
    reader = LogReader(0, 5)
    bad = BLOCK[:10] + b"\0" * 20
    reader.frame(Edges.at(0, BLOCK_STARTS, bad))
    told = reader.take()
    assert [type(item) for item in told] == [EdgeBatch, Garbled]
    reader.frame(Edges.at(30, 0, b"\0\0"))
    assert reader.take() == []
    after = bytearray(BLOCK)
    after[0] = 50
    reader.frame(Edges.at(32, BLOCK_STARTS, bytes(after)))
    gap, batch = reader.take()
    assert gap == EdgeGap(first=6, count=44)
    assert edges([batch])[0][0] == 50


def test_a_block_without_an_end_does_not_grow_for_ever() -> None:
    reader = LogReader(0, 5)
    reader.frame(piece(0, 12))
    for position in range(12, 3000, 60):
        reader.frame(Edges.at(position, 0, b"\xaa" * 60))
    garbled = [item for item in reader.take() if isinstance(item, Garbled)]
    assert len(garbled) == 1
    assert len(garbled[0].data) < 400


def long_log(count: int, skip_at: int | None = None) -> tuple[list[Edges], list[int]]:
    """Frames of a long log, and its ticks; edges are lost before number skip_at."""
    log, noise, tick, ticks = EdgeLog(1 << 20), random.Random(4), 0, []
    blocks: dict[int, bytes] = {}
    for i in range(count):
        tick += 2000 + noise.randrange(900)
        ticks.append(tick)
        if i == skip_at:
            log.missed(7)
        log.edge(tick, 1 if i % 700 < 600 else -1, 20)
        blocks |= {block.position: bytes(block.data) for block in log.blocks}
        log.acknowledge(log.blocks[-1].position, 0)
    log.close()
    blocks |= {block.position: bytes(block.data) for block in log.blocks}
    frames = []
    for position, data in blocks.items():
        for at in range(0, len(data), 64):
            marks = BLOCK_STARTS if at == 0 else 0
            frames.append(Edges.at(position + at, marks, data[at : at + 64]))
    return frames, ticks


def test_a_long_log_read_at_once_is_the_same_as_frame_by_frame() -> None:
    frames, ticks = long_log(9000, skip_at=4321)
    at_once, one_by_one = LogReader(0, 0), LogReader(0, 0)
    slowly = []
    for message in frames:
        at_once.frame(message)
        one_by_one.frame(message)
        assert not at_once.hole
        assert not one_by_one.hole
        slowly += one_by_one.take()
    quickly = at_once.take()
    assert edges(quickly) == edges(slowly)
    assert [tick for _, tick, _ in edges(quickly)] == ticks
    assert [type(item) for item in quickly] == [EdgeBatch, EdgeGap, EdgeBatch]
    assert [item for item in quickly if isinstance(item, EdgeGap)] == [EdgeGap(4321, 7)]


@pytest.mark.parametrize("inside", [0, 1])  # where a block begins, and inside it
def test_a_spoilt_block_among_many_costs_only_itself(inside: int) -> None:
    frames, ticks = long_log(9000)
    begins = [i for i, message in enumerate(frames) if message.marks & BLOCK_STARTS]
    first, after = (int.from_bytes(frames[i].log[:4], "little") for i in begins[12:14])
    at = begins[12] + inside
    spoilt = frames[at]
    frames[at] = Edges(spoilt.position, spoilt.marks, b"\xff" * len(spoilt.log))
    reader = LogReader(0, 0)
    for message in frames:
        reader.frame(message)
    read = reader.take()
    (garbled,) = [item for item in read if isinstance(item, Garbled)]
    assert garbled.code.startswith("block_")
    (gap,) = [item for item in read if isinstance(item, EdgeGap)]
    assert gap.first + gap.count == after
    others = [(n, tick) for n, tick, _ in edges(read) if not first <= n < after]
    assert others == [(n, t) for n, t in enumerate(ticks) if not first <= n < after]
