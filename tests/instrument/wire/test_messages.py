from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from golden_wire import FRAMES
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.messages import (
    KINDS,
    Acknowledge,
    Edges,
    Hello,
    MessageError,
    WireMessage,
    pack,
    unpack,
)
from unspool.instrument.wire.table import MAX_PAYLOAD, MESSAGES, SIZES


def messages(kind: type[WireMessage]) -> st.SearchStrategy[WireMessage]:
    values = {
        "text": st.text(max_size=6),
        "bytes": st.binary(min_size=1, max_size=64),
        **{name: st.integers(0, 256**size - 1) for name, size in SIZES.items()},
    }
    return st.builds(kind, *(values[field.kind] for field in kind.row.fields))


@given(st.sampled_from(list(KINDS.values())).flatmap(messages))
def test_what_is_packed_is_unpacked(message: WireMessage) -> None:
    assert unpack(pack(message)) == message


@given(st.binary(min_size=1, max_size=80))
def test_any_body_is_one_message_or_none(body: bytes) -> None:
    try:
        message = unpack(body)
    except ValueError:
        return
    assert pack(message)[1:] == body[1:] or isinstance(message, Hello)  # odd UTF-8 is mended


def test_fields_are_little_endian_and_in_the_table_s_order() -> None:
    packed = pack(Acknowledge(position=0x04030201, edge=5, resend=1))
    assert packed.hex(" ") == "19 01 02 03 04 05 00 00 00 01"


@contextmanager
def refused(code: GarbledCode) -> Iterator[None]:
    with pytest.raises(MessageError) as caught:
        yield
    assert caught.value.code is code


@pytest.mark.parametrize(("message", "line"), FRAMES, ids=lambda value: type(value).__name__)
def test_a_payload_that_is_cut_or_too_long_is_refused(message: WireMessage, line: bytes) -> None:
    body = pack(message)
    with refused(GarbledCode.WRONG_LENGTH):
        unpack(body[: message.row.fixed_size])
    if not message.row.open_ended:
        with refused(GarbledCode.WRONG_LENGTH):
            unpack(body + b"\0")


def test_a_message_that_is_not_in_the_table_is_refused() -> None:
    with refused(GarbledCode.UNKNOWN_MESSAGE):
        unpack(b"\x1f")


def test_a_value_that_does_not_fit_is_refused() -> None:
    with pytest.raises(OverflowError):
        pack(Acknowledge(position=0, edge=0, resend=256))


def test_each_class_has_the_table_s_fields() -> None:
    assert {kind.row for kind in KINDS.values()} == set(MESSAGES)
    for kind in KINDS.values():
        names = [field.name for field in fields(kind)]
        assert names == [field.name for field in kind.row.fields]
        types = {field.name: field.type for field in fields(kind)}
        for field in kind.row.fields:
            expected = {"text": "str", "bytes": "bytes"}.get(field.kind, "int")
            assert types[field.name] == expected


def test_every_message_fits_the_largest_payload() -> None:
    assert Hello.row.fixed_size + 24 <= MAX_PAYLOAD
    assert Edges.row.fixed_size + 64 <= MAX_PAYLOAD
