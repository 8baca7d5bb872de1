"""Whatever arrives and for however long: what a host keeps of it has a limit."""

from __future__ import annotations

import pickle
import random
from collections.abc import Callable, Iterator

import pytest

from golden_wire import BLOCK, FRAMES, hello
from unspool.errors import BoardError
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.frames import frame
from unspool.instrument.wire.messages import Edges
from unspool.instrument.wire.table import BLOCK_STARTS

MOST_BYTES = 20_000  # of a host that is written out with all that it holds
PIECES = 8000


def noise() -> Iterator[bytes]:
    rng = random.Random(1)
    while True:
        yield rng.randbytes(200)


def frame_without_end() -> Iterator[bytes]:
    while True:
        yield b"\x07" * 200


def frames() -> Iterator[bytes]:
    """Valid ones in any order, at times cut."""
    rng = random.Random(2)
    known = [frame(hello()), *(data for _, data in FRAMES)]
    while True:
        data = rng.choice(known)
        yield data if rng.random() < 0.9 else data[: rng.randrange(len(data))]


def block_without_end() -> Iterator[bytes]:
    yield frame(Edges.at(0, BLOCK_STARTS, BLOCK[:12]))
    position = 12
    while True:
        yield frame(Edges.at(position, 0, b"\xaa" * 60))
        position += 60


def blocks_without_edges() -> Iterator[bytes]:
    """Each begins before the one before it has ended."""
    position = 0
    while True:
        yield frame(Edges.at(position, BLOCK_STARTS, BLOCK[:1]))
        position += 1


def statuses() -> Iterator[bytes]:
    while True:
        yield FRAMES[4][1]


@pytest.mark.parametrize(
    "line", [noise, frame_without_end, frames, block_without_end, blocks_without_edges, statuses]
)
@pytest.mark.parametrize("checks", [False, True])
def test_what_a_host_keeps_is_bounded(line: Callable[[], Iterator[bytes]], checks: bool) -> None:
    host, pieces = Conversation(), line()
    host.to_send(0.0)
    host.receive(frame(hello()))
    if checks:
        host.check()
    for number in range(PIECES):
        try:
            host.receive(next(pieces))
        except BoardError:
            continue
        if number % 400 == 0:
            host.to_send(number * 1e-3)
            host.stored()
            assert len(pickle.dumps(host)) < MOST_BYTES
    assert len(pickle.dumps(host)) < MOST_BYTES
