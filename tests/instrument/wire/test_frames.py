"""Frames out of a stream of bytes, however the stream is cut, spoilt or padded."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from golden_wire import BOARD, FRAMES
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.decoded import Garbled
from unspool.instrument.wire.frames import Frame, FrameReader, frame
from unspool.instrument.wire.messages import Edges, WireMessage, pack
from unspool.instrument.wire.table import MAX_FRAME

STREAM = b"".join(line for _, line in FRAMES)
BODIES = [Frame(pack(message)) for message, _ in FRAMES]


def cuts(data: bytes) -> Iterator[list[bytes]]:
    """The same bytes whole, one at a time, and in uneven pieces."""
    yield [data]
    yield [bytes([byte]) for byte in data]
    pieces, shape = [], random.Random(5)
    while data:
        size = shape.randrange(1, 40)
        pieces.append(data[:size])
        data = data[size:]
    yield pieces


def read(pieces: list[bytes]) -> list[Frame | Garbled]:
    reader = FrameReader(BOARD)
    return [item for piece in pieces for item in reader.feed(piece)]


@pytest.mark.parametrize(("message", "line"), FRAMES, ids=lambda value: type(value).__name__)
def test_a_message_becomes_these_bytes(message: WireMessage, line: bytes) -> None:
    assert frame(message, BOARD) == line


def test_frames_come_out_however_the_stream_is_cut() -> None:
    for pieces in cuts(STREAM):
        assert read(pieces) == BODIES


@pytest.mark.parametrize("tail", [b"\x05\x12\x34", b"\0\0\0", b"\xff" * 60])
def test_an_unfinished_frame_behind_does_not_disturb(tail: bytes) -> None:
    for pieces in cuts(STREAM + tail):
        assert read(pieces) == BODIES


def test_a_frame_is_there_with_its_last_byte_and_not_before() -> None:
    reader = FrameReader(BOARD)
    assert reader.feed(STREAM[:10]) == []
    assert reader.feed(STREAM[10:11]) == [BODIES[0]]


def test_garbage_comes_out_as_garbled_and_the_next_frame_is_read() -> None:
    for pieces in cuts(b"\x99\x17\x20\0" + STREAM):
        garbled, *rest = read(pieces)
        assert garbled == Garbled(b"\x99\x17\x20", GarbledCode.NOT_COBS)
        assert rest == BODIES


def test_a_flipped_bit_is_found_by_the_crc() -> None:
    line = bytearray(FRAMES[2][1])
    line[6] ^= 0x10
    assert read([bytes(line)]) == [Garbled(bytes(line[:-1]), GarbledCode.WRONG_CRC)]


@given(st.integers(0, len(STREAM) * 8 - 1))
def test_one_flipped_bit_costs_two_frames_at_most(bit: int) -> None:
    """Invariant: frames that the flip did not touch come out unchanged and in order."""
    spoilt = bytearray(STREAM)
    spoilt[bit // 8] ^= 1 << bit % 8
    frames = [item for item in read([bytes(spoilt)]) if isinstance(item, Frame)]
    assert len(frames) >= len(BODIES) - 2
    assert [body for body in BODIES if body in frames] == frames


@given(st.binary(max_size=400).filter(lambda data: 0 not in data))
def test_the_buffer_is_bounded_and_garbage_never_hides_what_follows(noise: bytes) -> None:
    """Invariant: after a zero the reader is in step, and it never holds more than one frame."""
    for pieces in cuts(noise):
        reader = FrameReader(BOARD)
        for piece in pieces:
            reader.feed(piece)
            assert reader.held <= MAX_FRAME
        reader.feed(b"\0")
        assert reader.feed(STREAM) == BODIES


def test_a_stretch_without_a_zero_is_told_once_however_long() -> None:
    for pieces in cuts(b"\x07" * 5000 + b"\0" + STREAM):
        garbled, *rest = read(pieces)
        assert garbled == Garbled(b"\x07" * (MAX_FRAME + 1), GarbledCode.TOO_LONG)
        assert rest == BODIES


def test_the_longest_frame_fits_the_buffer() -> None:
    longest = frame(Edges.at(2, 3, bytes(range(1, 65))))
    assert read([longest]) == [Frame(pack(Edges.at(2, 3, bytes(range(1, 65)))))]
    assert len(longest) <= MAX_FRAME + 1
