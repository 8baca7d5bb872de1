"""What the host says and hears, message by message."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from golden_wire import (
    BLOCK_EDGES,
    BOARD,
    BOOT,
    EDGES_BEGUN,
    EDGES_REST,
    EDGES_WHOLE,
    FRAMES,
    hello,
)
from unspool.errors import BoardError
from unspool.instrument.wire import (
    BoardHello,
    BoardSide,
    BoardStatus,
    Conversation,
    EdgeBatch,
    EdgeGap,
    Garbled,
    ResumePoint,
    cobs,
)
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.crc import with_crc
from unspool.instrument.wire.decoded import Decoded
from unspool.instrument.wire.flush import flush_for
from unspool.instrument.wire.frames import Frame, FrameReader, frame
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    HelloRequest,
    Identify,
    Status,
    WireMessage,
    pack,
    unpack,
)
from unspool.instrument.wire.table import ResetCause

STATUS = frame(Status(BOOT & 0xFF, 0, 0, 0, 0, 1, 10, 0))


def said(data: bytes, board: tuple[int, int] = BOARD) -> list[WireMessage]:
    """The frames that this board hears."""
    return [unpack(item.body) for item in FrameReader(board).feed(data) if isinstance(item, Frame)]


def begun(known: ResumePoint | None = None, **changed: int) -> Conversation:
    host = Conversation(known)
    host.to_send(0.0)
    host.receive(frame(hello(**changed)))
    return host


def test_a_hello_is_asked_for_until_it_comes() -> None:
    host = Conversation(ResumePoint(boot=7, next_edge=300))
    assert said(host.to_send(0.0)) == [HelloRequest(7, 300)]
    assert host.to_send(0.3) == b""
    assert said(host.to_send(0.6)) == [HelloRequest(7, 300)]
    heard = host.receive(frame(hello()))
    assert heard[0] == BoardHello(1, "test 1", 250_000, 20, BOOT, 0xC0FFEE01)
    assert [type(message) for message in said(host.to_send(0.7))] == [Acknowledge]


@given(noise=st.binary(max_size=200))
def test_noise_on_the_line_eats_no_frame(noise: bytes) -> None:
    """Request, then acknowledgement, configuration and check: noise before each costs none."""
    host = Conversation()
    assert said(noise + host.to_send(0.0))[-1:] == [HelloRequest(0, 0)]
    host.receive(frame(hello()))
    host.configure(36)
    host.check()
    sent = host.to_send(1.0)
    frames = [b"\0" + piece + b"\0" for piece in sent.split(b"\0") if piece]
    assert b"".join(frames) == sent
    kinds = (Acknowledge, Configure, Check)
    for kind, one in zip(kinds, frames, strict=True):
        assert isinstance(said(noise + one)[-1], kind)


def test_board_takes_as_many_edges_a_turn_as_a_car_file_may_have() -> None:
    """720 of the finest disc that `disc` draws, and the limit of a car file."""
    for edges in (720, 65_535):
        host, board = Conversation(), BoardSide(BOOT)
        host.configure(edges)
        heard: list[Decoded] = []
        for second in range(4):
            sent = host.to_send(second)
            board.receive(sent)
            heard += host.receive(board.to_send(2_000_000 * second))
        assert [item.edges_per_turn for item in heard if isinstance(item, BoardHello)][-1] == edges
        assert not any(isinstance(message, Configure) for message in said(sent)), (
            "it goes on asking"
        )


def test_board_without_a_number_is_given_one_until_it_says_it() -> None:
    host = Conversation(identity=77)
    host.to_send(0.0)
    host.receive(frame(hello(identity=0)))
    times = [round(0.1 * i, 1) for i in range(11)]
    assert [time for time in times if Identify(77) in said(host.to_send(time))] == [0.0, 0.5, 1.0]
    (answer,) = host.receive(frame(hello(identity=77)))
    assert isinstance(answer, BoardHello)
    assert answer.identity == 77
    assert not any(isinstance(message, Identify) for message in said(host.to_send(9.0)))


def test_board_with_a_number_is_given_none() -> None:
    host = begun(identity=12)
    assert not any(isinstance(message, Identify) for message in said(host.to_send(1.0)))


def test_edges_before_any_hello_are_not_taken() -> None:
    host = Conversation()
    host.to_send(0.0)
    assert host.receive(EDGES_WHOLE) == []
    assert [type(m) for m in said(host.to_send(1.0))] == [HelloRequest]


def test_edges_are_acknowledged_only_once_they_are_stored() -> None:
    host = begun()
    host.to_send(0.0)
    (batch,) = host.receive(EDGES_WHOLE)
    assert isinstance(batch, EdgeBatch)
    assert batch.ticks.tolist() == [tick for _, tick, _ in BLOCK_EDGES]
    assert host.to_send(0.1) == b""
    host.stored()
    assert said(host.to_send(0.2)) == [Acknowledge(21, 10, 0)]
    assert host.to_send(0.3) == b""


def test_the_acknowledgement_is_repeated_as_a_sign_of_life() -> None:
    host, sent = begun(), []
    for time in (round(0.1 * i, 1) for i in range(40)):
        host.receive(STATUS)
        if host.to_send(time):
            sent.append(time)
    assert sent == [0.0, 1.0, 2.0, 3.0]


def test_after_a_silence_nothing_is_acknowledged_before_another_hello() -> None:
    """Another board may be at the other end by then, with the same boot number."""
    host = begun()
    host.to_send(0.0)
    host.receive(EDGES_WHOLE)
    host.stored()
    assert [type(message) for message in said(host.to_send(0.1))] == [Acknowledge]
    assert said(host.to_send(2.2)) == [HelloRequest(BOOT, 10)]
    host.receive(STATUS)
    assert said(host.to_send(2.7)) == [HelloRequest(BOOT, 10)]
    assert host.receive(frame(hello())) == []
    assert [type(message) for message in said(host.to_send(3.8))] == [Acknowledge]


def test_another_board_with_the_same_boot_number_is_seen_by_its_number() -> None:
    host = begun()
    host.to_send(0.0)
    assert len(host.receive(EDGES_WHOLE)) == 1
    host.stored()
    swapped = hello(identity=99, oldest_edge=0, from_edge=0, acknowledged_edge=0, next_edge=3)
    assert host.receive(frame(swapped) + STATUS + EDGES_BEGUN) == []
    assert said(host.to_send(0.6)) == [HelloRequest(BOOT, 10)]
    (other,) = host.receive(frame(swapped))
    assert isinstance(other, BoardHello)
    assert other.identity == 99
    assert said(host.to_send(0.7), (99, BOOT)) == [Acknowledge(0, 0, 0)]


def test_one_damaged_hello_is_no_other_board() -> None:
    host = begun()
    host.to_send(0.0)
    for _ in range(3):
        assert host.receive(frame(hello(identity=99))) == []
        assert host.receive(frame(hello())) == []
    assert len(host.receive(EDGES_WHOLE)) == 1


def test_stored_counts_full_bytes_only() -> None:
    host = begun()
    host.receive(EDGES_BEGUN)
    host.stored()
    assert said(host.to_send(0.1)) == [Acknowledge(15, 9, 0)]
    host.receive(EDGES_REST)
    host.stored()
    assert said(host.to_send(0.2)) == [Acknowledge(21, 10, 0)]


def test_a_hole_is_asked_for_at_once_and_again() -> None:
    host = begun()
    host.to_send(0.0)
    assert host.receive(EDGES_REST) == []
    assert said(host.to_send(0.01)) == [Acknowledge(0, 5, 1)]
    assert host.to_send(0.05) == b""
    assert said(host.to_send(0.07)) == [Acknowledge(0, 5, 1)]
    host.receive(EDGES_WHOLE)
    host.stored()
    assert said(host.to_send(0.31)) == [Acknowledge(21, 10, 0)]


def test_over_a_slow_link_a_hole_is_asked_for_less_often() -> None:
    host = begun()
    host.configure(20, rate=2000)
    host.to_send(0.0)
    host.receive(EDGES_REST)
    asked = [
        at
        for at in (round(0.01 * i, 2) for i in range(1, 60))
        if Acknowledge(0, 5, 1) in said(host.to_send(at))
    ]
    assert len(asked) == 3


def test_edges_dropped_on_the_board_are_a_gap_when_its_hello_says_so() -> None:
    host = begun(oldest_edge=2, from_edge=2, acknowledged_edge=2)
    heard = host.receive(frame(hello(oldest_position=900, oldest_edge=40, next_edge=60)))
    assert heard == [EdgeGap(first=2, count=38)]


def test_what_nobody_acknowledged_and_the_board_dropped_is_a_gap_for_a_new_host() -> None:
    kept = {"oldest_position": 900, "oldest_edge": 40, "from_position": 900, "from_edge": 40}
    heard = Conversation().receive(frame(hello(**kept, next_edge=60)))
    assert heard[1:] == [EdgeGap(first=5, count=35)]


def test_another_host_s_edges_are_no_gap() -> None:
    host = Conversation()
    heard = host.receive(frame(hello(oldest_edge=40, next_edge=60, acknowledged_edge=50)))
    assert [type(item) for item in heard] == [BoardHello]


def test_a_host_that_knows_the_boot_hears_only_what_is_new() -> None:
    host = begun(ResumePoint(BOOT, 8))
    (batch,) = host.receive(EDGES_WHOLE)
    assert isinstance(batch, EdgeBatch)
    assert batch.number.tolist() == [8, 9]


def test_a_boot_number_that_did_not_advance_is_still_seen_as_another_boot() -> None:
    host = begun(ResumePoint(BOOT, 5000))
    (batch,) = host.receive(EDGES_WHOLE)
    assert isinstance(batch, EdgeBatch)
    assert batch.number.tolist() == [5, 6, 7, 8, 9]
    back = frame(hello(next_edge=3, oldest_edge=0, from_edge=0))
    assert host.receive(back) == []
    assert HelloRequest(BOOT, 10) in said(host.to_send(2.0))
    assert [type(item) for item in host.receive(back)] == [BoardHello]


def test_an_old_hello_that_comes_once_more_changes_nothing() -> None:
    host = begun(ResumePoint(BOOT, 5))
    host.receive(EDGES_WHOLE)
    host.stored()
    host.to_send(1.0)
    old, new = hello(next_edge=3, oldest_edge=0, from_edge=0), hello(next_edge=10)
    assert host.receive(frame(old)) == []
    asked = said(host.to_send(2.0))
    assert [type(message) for message in asked] == [HelloRequest]  # and nothing acknowledged
    assert host.receive(frame(new) + EDGES_WHOLE) == []
    assert host.receive(frame(old)) == []


def test_edges_come_before_the_hello_of_a_new_boot_and_after_their_own() -> None:
    host = Conversation()
    host.to_send(0.0)
    stream = frame(hello()) + EDGES_WHOLE + frame(hello(boot=BOOT + 256, oldest_edge=0))
    heard = host.receive(stream)
    assert [type(item) for item in heard] == [BoardHello, EdgeBatch, BoardHello]


def test_frames_of_an_unknown_boot_make_the_host_ask() -> None:
    host = begun()
    host.to_send(0.0)
    assert host.receive(frame(Status(0x99, 0, 0, 0, 0, 0, 0, 0))) == []
    assert said(host.to_send(1.0)) == [HelloRequest(BOOT, 5)]


def test_a_status_carries_its_reset_cause() -> None:
    host = begun()
    (status,) = host.receive(frame(Status(0x34, 4980, 12, 4, 7, 123_456, 10, 99)))
    assert status == BoardStatus(4980, 12, 7, ResetCause.WATCHDOG, 123_456, 10, 99)
    (odd,) = host.receive(frame(Status(0x34, 0, 0, 99, 0, 0, 10, 0)))
    assert isinstance(odd, BoardStatus)
    assert odd.reset_cause is ResetCause.UNKNOWN


def test_the_configuration_is_repeated_until_a_hello_confirms_it() -> None:
    host = begun()
    host.configure(edges_per_turn=24, flush_ms=10, rate=2000)
    wanted = Configure(24, 10, 500, 2)
    assert wanted in said(host.to_send(0.0))
    assert wanted not in said(host.to_send(0.2))
    assert wanted in said(host.to_send(0.6))
    heard = host.receive(frame(hello(edges_per_turn=24, flush_ms=10, byte_us=500)))
    assert [type(item) for item in heard] == [BoardHello]
    assert wanted not in said(host.to_send(1.2))


@pytest.mark.parametrize(
    "values",
    [(65_536, 20, None), (20, 256, None), (20, 20, 10), (-1, 20, None), (20, 20, None, 3)],
)
def test_a_configuration_that_does_not_fit_is_refused(values: tuple[int | None, ...]) -> None:
    with pytest.raises(ValueError, match="cannot configure"):
        Conversation().configure(*values)


def foreign(head: int) -> bytes:
    return cobs.encode(with_crc(bytes([head]) + b"whatever")) + b"\0"


def test_a_board_of_another_protocol_is_refused_in_one_sentence() -> None:
    host = Conversation()
    assert host.receive(foreign(0x21)) == []
    host.raise_if_refused()
    assert host.receive(foreign(0x21)) == []
    with pytest.raises(BoardError, match=r"speaks protocol 2, this unspool speaks protocol 1: put"):
        host.raise_if_refused()
    host.raise_if_refused()


def test_a_board_with_another_message_table_is_refused() -> None:
    host = Conversation()
    other = frame(hello(table_hash=0xDEADBEEF))
    assert host.receive(other + other) == []
    with pytest.raises(BoardError, match="message table deadbeef"):
        host.raise_if_refused()


@pytest.mark.parametrize("tick_hz", [0, 1, 0xFFFFFFFF])
def test_a_board_whose_clock_cannot_be_is_refused(tick_hz: int) -> None:
    host = Conversation()
    assert host.receive(2 * frame(hello(tick_hz=tick_hz))) == []
    with pytest.raises(BoardError, match=f"in ticks of {tick_hz} Hz"):
        host.raise_if_refused()


def test_one_garbled_hello_of_another_version_refuses_no_good_board() -> None:
    host = Conversation()
    pair = foreign(0x21) + frame(hello())
    assert [type(item) for item in host.receive(5 * pair)] == [BoardHello]
    host.raise_if_refused()


def test_what_came_with_a_refusal_is_decoded() -> None:
    host = begun()
    (batch,) = host.receive(EDGES_WHOLE + foreign(0x21) + foreign(0x21))
    assert isinstance(batch, EdgeBatch)
    with pytest.raises(BoardError):
        host.raise_if_refused()


@pytest.mark.parametrize(
    ("rate", "flush_ms"), [(None, 50), (11_520, 50), (2000, 60), (1000, 120), (100, 250)]
)
def test_slow_links_wait_longer_for_fuller_frames(rate: int | None, flush_ms: int) -> None:
    host = begun()
    host.configure(edges_per_turn=20, rate=rate)
    sent = [m for m in said(host.to_send(9.0)) if isinstance(m, Configure)]
    assert [message.flush_ms for message in sent] == ([] if rate is None else [flush_ms])
    assert flush_for(rate) == flush_ms


def test_a_host_s_frames_and_unknown_ones_are_garbled() -> None:
    host = begun()
    heard = host.receive(FRAMES[0][1] + foreign(0x1F) + foreign(0x32))
    assert [item.code for item in heard if isinstance(item, Garbled)] == [
        GarbledCode.HOSTS_MESSAGE,
        GarbledCode.UNKNOWN_MESSAGE,
        GarbledCode.OTHER_PROTOCOL,
    ]


@settings(deadline=None)
@given(st.lists(st.one_of(st.binary(max_size=60), st.sampled_from([f for _, f in FRAMES]))))
def test_receive_takes_anything(pieces: list[bytes]) -> None:
    """Invariant: no exception; edge numbers never go back; what is sent are frames of the table."""
    host = begun()
    last = 4
    for i, piece in enumerate(pieces):
        for item in host.receive(piece):
            if isinstance(item, EdgeBatch):
                assert item.number[0] == last + 1
                last = int(item.number[-1])
            elif isinstance(item, EdgeGap):
                last = item.first + item.count - 1
        host.stored()
        assert all(pack(message) for message in said(host.to_send(i / 10)))
