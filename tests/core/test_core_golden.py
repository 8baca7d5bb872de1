"""The same golden bytes as the host's tests: the core writes them, and reads the host's."""

from __future__ import annotations

import pytest

from golden_wire import (
    BLOCK,
    BLOCK_EDGES,
    BOARD,
    BOOT,
    EDGES_BEGUN,
    EDGES_REST,
    EDGES_WHOLE,
    FRAMES,
    IDENTITY,
)
from native_core import NativeBoard
from unspool.instrument.wire import BoardSide, Conversation, EdgeBatch
from unspool.instrument.wire.frames import Frame, FrameReader, frame
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    Sensors,
    Status,
    unpack,
)
from unspool.instrument.wire.table import SAMPLE_A, SAMPLE_B

MS = 2000
CHECK, SENSORS = (line for _, line in FRAMES[-2:])
HELLO_REQUEST, HELLO_REQUEST_7, ACKNOWLEDGE, CONFIGURE = (line for _, line in FRAMES[:4])

Board = BoardSide | NativeBoard


@pytest.fixture(params=[BoardSide, NativeBoard], ids=["python", "C"])
def board(request: pytest.FixtureRequest) -> Board:
    return request.param(BOOT, 0, identity=IDENTITY)


def run_golden_edges(board: Board, count: int) -> None:
    """The golden block's edges; number 5 is the first, for five were missed before."""
    board.missed(5)
    for _, tick, direction in BLOCK_EDGES[:count]:
        board.edge(tick * 8 + 3, direction)


def bodies(data: bytes) -> list[object]:
    return [unpack(item.body) for item in FrameReader().feed(data) if isinstance(item, Frame)]


def test_writes_the_golden_block(board: Board) -> None:
    run_golden_edges(board, 5)
    board.to_send(11_000)
    board.receive(CONFIGURE)  # another number of slots closes the block
    board.to_send(12_000)  # the hello, after which CONFIGURE leaves the line free for 500 us a byte
    assert board.to_send(12_000 + 50 * MS) == EDGES_WHOLE


def test_writes_an_unfinished_byte_and_then_its_rest(board: Board) -> None:
    run_golden_edges(board, 4)
    board.to_send(11_000)
    board.receive(frame(Acknowledge(0, 0, 0), BOARD))
    assert board.to_send(12_000 + 50 * MS) == EDGES_BEGUN
    _, tick, direction = BLOCK_EDGES[4]
    board.edge(tick * 8, direction)
    board.receive(CONFIGURE)
    board.to_send(12_000 + 60 * MS)
    assert board.to_send(12_000 + 110 * MS) == EDGES_REST


def test_writes_the_golden_status(board: Board) -> None:
    """Frame 5 of the golden ones has a full ring; the head, order and widths are the same here."""
    board.battery_mv = 7304
    (_, status) = bodies(board.to_send(0x12345678))
    assert status == Status(0x34, 7304, 0, 1, 0, 0x12345678 >> 3, 0, 0)


def test_reads_the_host_s_golden_frames(board: Board) -> None:
    run_golden_edges(board, 5)
    board.to_send(0)
    board.receive(CONFIGURE)
    (configured,) = [m for m in bodies(board.to_send(MS)) if isinstance(m, Hello)]
    assert (configured.edges_per_turn, configured.flush_ms, configured.byte_us) == (20, 5, 500)
    board.receive(ACKNOWLEDGE)  # beyond the end: all is acknowledged, and the block is freed
    board.receive(HELLO_REQUEST_7)
    later = bodies(board.to_send(100 * MS)) + bodies(board.to_send(200 * MS))
    (hello,) = [m for m in later if isinstance(m, Hello)]
    assert hello.acknowledged_edge == hello.next_edge == hello.oldest_edge == 10
    assert hello.oldest_position == 21


def test_shows_both_sensors_while_a_check_asks(board: Board) -> None:
    board.to_send(0)
    board.receive(CHECK)
    board.missed(258)
    board.sample(0x400000, SAMPLE_B)
    board.sample(0x400800, SAMPLE_A | SAMPLE_B)
    assert board.to_send(49 * MS) == b""
    assert board.to_send(50 * MS) == SENSORS


def test_edges_come_after_a_check_that_lasted_long(board: Board) -> None:
    """Stamps are compared over 17 minutes at most, and the edges waited for longer."""
    run_golden_edges(board, 5)
    for second in range(20 * 60):
        board.receive(CHECK)
        board.to_send(second * 1000 * MS)
    board.receive(frame(Check(0), BOARD))
    later = bodies(board.to_send(20 * 60_000 * MS) + board.to_send((20 * 60_000 + 50) * MS))
    logs = [message.log for message in later if isinstance(message, Edges)]
    assert [log[:18] for log in logs] == [BLOCK[:18]]


def test_the_host_reads_what_it_wrote(board: Board) -> None:
    host = Conversation()
    board.to_send(0)
    run_golden_edges(board, 5)
    board.receive(host.to_send(0.0))
    heard = host.receive(board.to_send(MS))
    board.receive(host.to_send(0.001))  # the board sends edges to a host that has named it
    heard += host.receive(board.to_send(51 * MS))
    (batch,) = [item for item in heard if isinstance(item, EdgeBatch)]
    assert batch.number.tolist() == [number for number, _, _ in BLOCK_EDGES]
    assert batch.ticks.tolist() == [tick for _, tick, _ in BLOCK_EDGES]
    assert batch.direction.tolist() == [direction for _, _, direction in BLOCK_EDGES]


def test_the_frames_used_here_are_what_their_names_say() -> None:
    kinds = [type(message) for message, _ in (*FRAMES[:4], *FRAMES[-2:])]
    assert kinds == [HelloRequest, HelloRequest, Acknowledge, Configure, Check, Sensors]
