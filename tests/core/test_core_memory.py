"""Memory that lost its power is no log; a log that is taken up after a reset is the one it was."""

from __future__ import annotations

from random import Random

import pytest

from native_core import NativeBoard
from unspool.instrument.wire import Conversation, EdgeBatch, EdgeGap
from unspool.instrument.wire.table import ResetCause

BOOT = 0x1234
RING = 600
MS = 2000
Seen = tuple[int, int, int]


def filled(seed: int) -> tuple[NativeBoard, int]:
    """A board that dropped some edges, gave some to a host and holds the rest, and its clock."""
    random, board, host, now = Random(seed), NativeBoard(BOOT, 20, RING), Conversation(), 0
    host.receive(board.to_send(now))
    for i in range(random.randrange(600)):
        now += random.randrange(1, 40 * MS)
        board.edge(now, random.choice((1, 1, 1, -1)))
        if i % 50 == 0 and random.random() < 0.3:
            board.receive(host.to_send(now / 2e6))
            host.receive(board.to_send(now))
            host.stored()
            board.receive(host.to_send(now / 2e6))
    board.to_send(now)
    return board, now


def held(board: NativeBoard, now: int = 0) -> list[Seen]:
    """All that a host which knows nothing gets, from stamp `now` on."""
    host, heard = Conversation(), []
    for step in range(20):
        board.receive(host.to_send(step * 0.05))
        heard += host.receive(board.to_send(now + step * 50 * MS))
    first = next((i for i, item in enumerate(heard) if isinstance(item, EdgeBatch)), len(heard))
    assert not [item for item in heard[first:] if isinstance(item, EdgeGap)], "a gap within"
    return [
        seen
        for batch in heard
        if isinstance(batch, EdgeBatch)
        for seen in zip(
            batch.number.tolist(), batch.ticks.tolist(), batch.direction.tolist(), strict=True
        )
    ]


def after_reset(memory: bytes, cause: ResetCause = ResetCause.BROWN_OUT) -> list[Seen] | None:
    """What a board still holds that finds this memory; None if it takes it for no log."""
    board = NativeBoard(BOOT, 20, RING)
    board.memory[:] = memory
    return held(board) if board.reset(cause) == BOOT else None


@pytest.mark.parametrize("seed", range(20))
def test_log_is_the_same_after_a_reset(seed: int) -> None:
    memory = bytes(filled(seed)[0].memory)
    kept = after_reset(memory)
    assert kept == held(*filled(seed))
    assert after_reset(memory, ResetCause.POWER_ON) is None


@pytest.mark.parametrize("flips", [1, 2, 3, 8, 100])
def test_faded_memory_invents_nothing(flips: int) -> None:
    """Bits flipped anywhere: the log is refused, or it is still the same to the last edge."""
    refused = 0
    for seed in range(150):
        random = Random(seed * 1000 + flips)
        memory = bytearray(filled(seed % 10)[0].memory)
        true = after_reset(bytes(memory))
        for _ in range(flips):
            memory[random.randrange(len(memory))] ^= 1 << random.randrange(8)
        found = after_reset(bytes(memory))
        refused += found is None
        assert found is None or found == true
    assert refused > 30


def test_garbage_is_no_log() -> None:
    """As after power-on when a boot loader has cleared the reset cause; also all 0 and all 1."""
    random = Random(1)
    size = len(bytes(NativeBoard(BOOT, 20, RING).memory))
    for memory in (bytes(size), b"\xff" * size, *(random.randbytes(size) for _ in range(2000))):
        assert after_reset(memory, ResetCause.UNKNOWN) is None


def test_log_of_more_than_64_kib_turns_over_and_outlives_a_reset() -> None:
    """Its bytes and blocks need wider counts than those of the small boards."""
    random, board, now = Random(1), NativeBoard(BOOT, 20, ring_bytes=70_000), 0
    stamps = []
    for _ in range(60_000):
        now += random.randrange(8, 2 * MS, 8)
        stamps.append(now)
        board.edge(now, 1)
    board.to_send(now)
    assert board.reset(ResetCause.WATCHDOG) == BOOT
    kept = held(board)
    numbers = [number for number, _, _ in kept]
    assert numbers == list(range(60_000 - len(kept), 60_000))
    assert len(kept) > 40_000
    assert [ticks for _, ticks, _ in kept] == [stamp // 8 for stamp in stamps[-len(kept) :]]
