"""Edges to bits and back: against bytes made by hand, a plain decoder, and themselves."""

from __future__ import annotations

import random
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import plain_decoder
from edge_streams import edges, slots
from golden_wire import BLOCK, BLOCK_CODES, BLOCK_EDGES, BLOCK_HEADER
from unspool.instrument.wire.batch_decoder import decode_blocks
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.decoded import EdgeBatch
from unspool.instrument.wire.decoder import BlockDecoder, BlockHeader
from unspool.instrument.wire.edge_log import EdgeLog

AT_A_TIME = 12  # blocks
Edge = tuple[int, int, int]


def coded(stream: list[tuple[int, int]], slot_count: int) -> list[bytes]:
    """All blocks of a stream of (tick, direction)."""
    log = EdgeLog(capacity=1 << 24)
    out: dict[int, bytes] = {}
    for tick, direction in stream:
        log.edge(tick, direction, slot_count)
        if len(log.blocks) == AT_A_TIME:
            out |= {block.position: bytes(block.data) for block in log.blocks[:-1]}
            log.acknowledge(log.blocks[-1].position, 0)
    log.close()
    out |= {block.position: bytes(block.data) for block in log.blocks}
    return list(out.values())


def listed(batches: list[EdgeBatch]) -> list[Edge]:
    return [
        edge
        for batch in batches
        for edge in zip(
            batch.number.tolist(), batch.ticks.tolist(), batch.direction.tolist(), strict=True
        )
    ]


def decoded(blocks: list[bytes]) -> list[Edge]:
    batches = []
    for block in blocks:
        decoder = BlockDecoder()
        batch = decoder.decode(block, len(block) * 8)
        assert batch is not None
        assert decoder.ended
        batches.append(batch)
    return listed(batches)


def test_the_block_made_by_hand_is_written() -> None:
    log = EdgeLog(capacity=600)
    log.missed(5)
    for _, tick, direction in BLOCK_EDGES:
        log.edge(tick, direction, slots=0)
    log.close()
    assert bytes(log.blocks[0].data) == BLOCK


def test_the_block_made_by_hand_is_what_its_codes_say() -> None:
    bits = BLOCK_CODES.replace(" ", "")
    assert BLOCK_HEADER + int(bits, 2).to_bytes(len(bits) // 8, "big") == BLOCK


def test_the_block_made_by_hand_is_read() -> None:
    assert decoded([BLOCK]) == list(BLOCK_EDGES)
    assert plain_decoder.decode(BLOCK) == list(BLOCK_EDGES)


def test_a_block_is_read_as_far_as_its_bits_have_come() -> None:
    decoder, batches, whole_at = BlockDecoder(), [], []
    for bits in range(len(BLOCK) * 8 + 1):
        arrived = BLOCK[: -(-bits // 8)]
        batch = decoder.decode(arrived, bits)
        if batch is not None:
            batches.append(batch)
            whole_at.append(bits)
    assert listed(batches) == list(BLOCK_EDGES)
    assert whole_at == [80, 106, 116, 125, 150]
    assert decoder.ended


def test_bytes_behind_a_block_are_not_read() -> None:
    decoder = BlockDecoder()
    batch = decoder.decode(BLOCK + BLOCK, len(BLOCK) * 16)
    assert batch is not None
    assert listed([batch]) == list(BLOCK_EDGES)


@settings(max_examples=200, deadline=None)
@given(edges(), slots)
def test_edges_come_back_to_the_tick(stream: list[tuple[int, int]], slot_count: int) -> None:
    expected = [(i, tick % (1 << 40), direction) for i, (tick, direction) in enumerate(stream)]
    blocks = coded(stream, slot_count)
    assert decoded(blocks) == expected
    assert [edge for block in blocks for edge in plain_decoder.decode(block)] == expected


@settings(max_examples=200, deadline=None)
@given(edges(), slots)
@example([(0, 1)], 20)
@example([(0, -1), (5, -1), (10, 1)], 20)
def test_blocks_side_by_side_give_what_one_after_the_other_gives(
    stream: list[tuple[int, int]], slot_count: int
) -> None:
    blocks = coded(stream, slot_count)
    firsts = [header.edge for block in blocks if (header := BlockHeader.unpack(block))]
    counts = np.diff([*firsts, len(stream)])
    ticks, direction, sound = decode_blocks(blocks, counts)
    assert sound.all()
    assert ticks.tolist() == [tick % (1 << 40) for tick, _ in stream]
    assert direction.tolist() == [direction for _, direction in stream]


def steady(count: int) -> list[tuple[int, int]]:
    """An even wheel with sensor noise of up to 25 ticks."""
    noise = random.Random(3)
    return [(2400 * i + noise.randrange(25), 1) for i in range(count)]


@cache
def four_blocks() -> list[bytes]:
    return coded(steady(2000), 20)[:4]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(80, 2400), st.integers(0, 7)), max_size=4),
    st.lists(st.integers(-3, 3), min_size=4, max_size=4),
)
def test_side_by_side_a_spoilt_block_is_told_and_the_others_are_right(
    flips: list[tuple[int, int, int]], wrong_counts: list[int]
) -> None:
    """Invariant: a lane that is called sound holds what a step-by-step decoder reads from it."""
    blocks = [bytearray(block) for block in four_blocks()]
    counts = np.array([len(decoded([block])) for block in four_blocks()])
    for block, byte, bit in flips:
        blocks[block][10 + byte % (len(blocks[block]) - 10)] ^= 1 << bit
    counts += np.array(wrong_counts)
    ticks, _, sound = decode_blocks([bytes(block) for block in blocks], counts)
    ends = np.cumsum(counts)
    for i, block in enumerate(blocks):
        decoder = BlockDecoder()
        batch = decoder.decode(block, len(block) * 8)
        whole = decoder.ended and batch is not None and len(batch.ticks) == counts[i]
        assert not sound[i] or whole
        if sound[i] and batch is not None:
            assert ticks[ends[i] - counts[i] : ends[i]].tolist() == batch.ticks.tolist()
        if whole and not flips:
            assert sound[i]


@given(st.binary(min_size=15, max_size=280))
def test_any_bytes_decode_to_something_finite_or_a_fault(data: bytes) -> None:
    """Invariant: never more edges than bits, ticks never fall, and a fault has its code."""
    decoder = BlockDecoder()
    batch = decoder.decode(data, len(data) * 8)
    assert batch is not None
    assert len(batch.ticks) <= len(data) * 8
    assert (np.diff(batch.ticks) >= 0).all()
    assert decoder.fault is None or isinstance(decoder.fault, GarbledCode)


@pytest.mark.parametrize(
    ("bits", "fault"),
    [
        ("0" * 16, GarbledCode.BLOCK_UNPREDICTED),
        ("11111111111111" + "0" * 18, GarbledCode.BLOCK_ESCAPE),
        (
            "11111111111100" + "00000" + "1" + "0" + "000011111" + "0" * 10,
            GarbledCode.BLOCK_INTERVAL,
        ),
    ],
)
def test_codes_that_no_encoder_writes_are_faults(bits: str, fault: GarbledCode) -> None:
    padded = bits + "0" * (-len(bits) % 8)
    decoder = BlockDecoder()
    decoder.decode(BLOCK_HEADER + int(padded, 2).to_bytes(len(padded) // 8, "big"), 80 + len(bits))
    assert decoder.fault is fault


def test_a_disc_s_errors_cancel_after_a_turn() -> None:
    """20 slots with errors up to 9 %, even speed: below 4 bits an edge once a turn is known."""
    slot_ticks = [2400 + (i * i * 7919) % 220 for i in range(20)]
    ticks = np.cumsum([slot_ticks[i % 20] for i in range(400)]).tolist()
    (block,) = coded([(tick, 1) for tick in ticks], 20)
    (without,) = coded([(tick, 1) for tick in ticks[:120]], 0)
    assert len(block) * 8 < 10 * 8 + 20 * 16 + 380 * 4
    assert len(without) * 8 > 10 * 8 + 119 * 8


def test_a_block_is_closed_at_its_size_and_before_too_long_a_rest() -> None:
    sizes = [len(block) for block in coded(steady(3000), 20)]
    assert all(192 <= size <= 202 for size in sizes[:-1])
    rest = [(0, 1), (100, 1), (100 + (1 << 32), 1), (99 + (2 << 32), 1)]
    assert [len(plain_decoder.decode(block)) for block in coded(rest, 20)] == [2, 2]


def test_numbers_of_blocks_follow_each_other() -> None:
    blocks = [plain_decoder.decode(block) for block in coded(steady(3000), 20)]
    assert all(two[0][0] == one[-1][0] + 1 for one, two in pairwise(blocks))
