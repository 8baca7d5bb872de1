"""When a board sends what it has logged, and to whom: in Python and in C."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from native_core import NativeBoard
from unspool.instrument.wire import BoardHello, BoardSide, Conversation, EdgeBatch
from unspool.instrument.wire.frames import Frame, FrameReader, delimited_frame, frame
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    unpack,
)
from unspool.instrument.wire.table import FLUSH_MS, FRAME_DATA_AGAIN

MS = 2000
BOOT, OURS, OTHER = 9, 0xC0FFEE01, 0xC0FFEE02
Board = BoardSide | NativeBoard
NewBoard = Callable[..., Board]


@pytest.fixture(params=[BoardSide, NativeBoard], ids=["python", "C"])
def new_board(request: pytest.FixtureRequest) -> NewBoard:
    return request.param


def kinds(data: bytes) -> list[type]:
    return [type(unpack(item.body)) for item in FrameReader().feed(data) if isinstance(item, Frame)]


def edges(data: bytes) -> list[Edges]:
    heard = [unpack(item.body) for item in FrameReader().feed(data) if isinstance(item, Frame)]
    return [message for message in heard if isinstance(message, Edges)]


def listening(new_board: NewBoard, **more: int) -> Board:
    board = new_board(BOOT, identity=OURS, **more)
    board.to_send(0)
    board.receive(frame(Acknowledge(0, 0, 0), (OURS, BOOT)))
    return board


def laid_out(frames: list[Edges]) -> bytes:
    """The log from the frames, of which one may begin with the unfinished byte of another."""
    log = bytearray()
    for one in frames:
        log[one.place : one.place + len(one.log)] = one.log
    return bytes(log)


def frames_at(board: Board, times_ms: list[int], until_ms: int) -> list[int]:
    """Milliseconds of each frame of edges, with edges at these times and a host that listens."""
    waiting, sent, host = list(times_ms), [], Conversation()
    for now in range(until_ms):
        board.receive(host.to_send(now / 1000))
        while waiting and waiting[0] <= now:
            board.edge(waiting.pop(0) * MS, 1)
        data = board.to_send(now * MS)
        host.receive(data)
        host.stored()
        sent += [now for _ in edges(data)]
    return sent


def test_edge_after_a_rest_goes_at_once(new_board: NewBoard) -> None:
    times = [200, 700, 1200]
    assert frames_at(new_board(BOOT), times, 1300) == times


def test_frame_goes_with_the_last_edge_that_it_can_have(new_board: NewBoard) -> None:
    """Edges each 12 ms: from the first one that waits, four more are there within FLUSH_MS."""
    times = [200 + 12 * i for i in range(41)]
    at = [at for at in frames_at(new_board(BOOT), times, 800) if at < times[-5]]
    between = [two - one for one, two in pairwise(at)]
    assert between[1:] == [60] * 6
    assert set(at) <= set(times)


def test_frame_waits_no_longer_than_it_may_if_the_wheel_stops(new_board: NewBoard) -> None:
    times = [200 + 12 * i for i in range(20)]
    *_, last = frames_at(new_board(BOOT), times, 800)
    assert times[-1] < last <= times[-1] + FLUSH_MS


def test_only_a_host_that_names_the_board_gets_edges(new_board: NewBoard) -> None:
    board = new_board(BOOT, identity=OURS)
    board.edge(10 * MS, 1)
    said = board.to_send(20 * MS)
    board.receive(frame(HelloRequest(0, 0)))
    said += board.to_send(100 * MS)
    for whose in ((OTHER, BOOT), (OURS, BOOT + 256), (0, 0)):
        board.receive(frame(Acknowledge(0, 0, 0), whose))
        said += board.to_send(200 * MS)
    assert Hello in kinds(said)
    assert Edges not in kinds(said)
    board.receive(frame(Acknowledge(0, 0, 0), (OURS, BOOT)))
    assert Edges in kinds(board.to_send(300 * MS))


def test_board_obeys_nobody_who_means_another(new_board: NewBoard) -> None:
    board = listening(new_board)
    board.edge(10 * MS, 1)
    board.to_send(100 * MS)
    for message in (Acknowledge(100, 1, 0), Configure(36, 5, 0, 1), Check(1)):
        board.receive(delimited_frame(message, (OTHER, BOOT)))
    assert not board.checks
    board.receive(frame(HelloRequest(0, 0)))
    (hello,) = [
        message
        for item in FrameReader().feed(board.to_send(200 * MS))
        if isinstance(item, Frame) and isinstance(message := unpack(item.body), Hello)
    ]
    assert (hello.acknowledged_edge, hello.edges_per_turn, hello.sensors) == (0, 20, 2)


def test_swapped_board_with_the_same_boot_number_keeps_its_edges(new_board: NewBoard) -> None:
    """One board's host, at once on the other: what it acknowledges is not the other's."""
    one, host = BoardSide(BOOT, identity=OURS), Conversation()
    for stamp in range(1, 40):
        one.edge(stamp * 10 * MS, 1)
    for now in range(3):
        host.receive(one.to_send((400 + 60 * now) * MS))
        host.stored()
        one.receive(host.to_send(0.4 + 0.06 * now))
    two = new_board(BOOT, identity=OTHER)
    for stamp in range(1, 30):
        two.edge(stamp * 10 * MS, 1)
    numbers: list[int] = []
    for now in range(300, 4000, 10):
        two.receive(host.to_send(1.0 + now / 1000))
        for item in host.receive(two.to_send(now * MS)):
            if isinstance(item, EdgeBatch):
                numbers += item.number.tolist()
        host.stored()
    assert numbers == list(range(29))


def test_what_is_sent_again_goes_in_short_frames(new_board: NewBoard) -> None:
    board = listening(new_board)
    for stamp in range(1, 200):
        board.edge(stamp * MS, 1)
    first = edges(board.to_send(300 * MS))
    board.receive(frame(Acknowledge(0, 0, 1), (OURS, BOOT)))
    again = edges(board.to_send(310 * MS))
    assert max(len(one.log) for one in first) > FRAME_DATA_AGAIN
    assert max(len(one.log) for one in again) == FRAME_DATA_AGAIN
    whole, so_far = laid_out(first), laid_out(again)  # less than a frame still waits
    assert whole.startswith(so_far[:-1])
    assert len(whole) - len(so_far) < FRAME_DATA_AGAIN


def test_one_sensor_makes_every_edge_a_forward_one(new_board: NewBoard) -> None:
    """What host and board say of each other, and the edges, before and after a reset."""
    board, host = new_board(BOOT, identity=OURS), Conversation()
    host.configure(8, sensors=1)
    directions: list[int] = []
    hellos: list[BoardHello] = []

    def turn(before_s: float) -> None:
        for now in range(0, 2400, 10):
            board.receive(host.to_send(before_s + now / 1000))
            if 600 <= now < 1200:
                board.edge(now * MS, 1 if now % 20 else -1)
            for item in host.receive(board.to_send(now * MS)):
                if isinstance(item, EdgeBatch):
                    directions.extend(item.direction.tolist())
                elif isinstance(item, BoardHello):
                    hellos.append(item)
            host.stored()

    turn(0.0)
    board.reset(2)
    turn(2.4)
    assert set(directions) == {1}
    assert len(directions) == 120
    assert (hellos[-1].sensors, hellos[-1].edges_per_turn) == (1, 8)
