"""The core's codecs in C: literal bytes, the published vectors' package, and guard bytes."""

from __future__ import annotations

import ctypes

import pytest
from cobs import cobs as published
from hypothesis import given
from hypothesis import strategies as st

from native_core import library

GUARD = b"\xa5" * 16


def encode(data: bytes) -> bytes:
    """COBS in place: one byte free in front, guards behind."""
    buffer = ctypes.create_string_buffer(b"\xee" + data + GUARD, 1 + len(data) + len(GUARD))
    library().cobs_encode(buffer, len(data))
    assert buffer.raw[1 + len(data) :] == GUARD
    return buffer.raw[: 1 + len(data)]


def decode(encoded: bytes) -> bytes | None:
    """None if it is no frame. What is decoded is one byte shorter, and the rest untouched."""
    buffer = ctypes.create_string_buffer(encoded + GUARD, len(encoded) + len(GUARD))
    length = library().cobs_decode(buffer, len(encoded))
    assert buffer.raw[len(encoded) :] == GUARD
    return buffer.raw[:length] if length else None


@pytest.mark.parametrize(
    ("data", "encoded"),
    [("", "01"), ("00", "01 01"), ("11 22 00 33", "03 11 22 02 33"), ("00 11 00", "01 02 11 01")],
)
def test_cobs_literals(data: str, encoded: str) -> None:
    assert encode(bytes.fromhex(data)) == bytes.fromhex(encoded)


@given(st.binary(min_size=1, max_size=253))
def test_cobs_is_the_published_one(data: bytes) -> None:
    assert encode(data) == published.encode(data)
    assert decode(published.encode(data)) == data


@given(st.binary(max_size=253))
def test_cobs_takes_nothing_else(encoded: bytes) -> None:
    """Bytes that no encoder writes are refused; nothing is written outside the frame."""
    try:
        expected = published.decode(encoded) or None
    except published.DecodeError:
        expected = None
    assert decode(encoded) == expected


@pytest.mark.parametrize(("data", "crc"), [(b"123456789", 0x29B1), (b"", 0xFFFF), (b"A", 0xB915)])
def test_crc_literals(data: bytes, crc: int) -> None:
    assert library().crc16(0xFFFF, data, len(data)) == crc
