"""Who is at the other end if it is no board, by the bytes that came and those that were sent."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.instrument.strangers import QUESTION, Stranger, StrangerWatch, sentence_of
from unspool.instrument.wire import Conversation


def who(heard: bytes, sent: bytes = b"") -> Stranger:
    watch = StrangerWatch()
    watch.sent(sent)
    watch.heard(heard)
    return watch.who


NOISE = random.Random(1).randbytes(300)
REQUEST = Conversation().to_send(0.0)


@pytest.mark.parametrize(
    ("heard", "stranger"),
    [
        (b"", Stranger.NOTHING),
        (b"\r\nOK\r\n", Stranger.MODEM),
        (b"AT\r\r\nERROR\r\n", Stranger.MODEM),
        (b"\r\n+CME ERROR: 100\r\n", Stranger.MODEM),
        (b"\r\nRING\r\n", Stranger.MODEM),
        (REQUEST.replace(b"\0", b"") + b"AT\r", Stranger.ECHO),
        (3 * REQUEST, Stranger.ECHO),
        (b"temperature 21.4 OKAY\r\n" * 4, Stranger.TEXT),
        (NOISE, Stranger.NOISE),
    ],
)
def test_who_is_there(heard: bytes, stranger: Stranger) -> None:
    assert who(heard, REQUEST + QUESTION) is stranger


@given(st.lists(st.binary(max_size=50), max_size=200), st.lists(st.binary(max_size=50)))
def test_anything_is_one_of_them(heard: list[bytes], sent: list[bytes]) -> None:
    """Invariant: however it is cut, the answer is the same, and it has a sentence."""
    watch = StrangerWatch()
    for piece in sent:
        watch.sent(piece)
    for piece in heard:
        watch.heard(piece)
    assert watch.who is who(b"".join(heard), b"".join(sent))
    assert "COM3" in sentence_of(watch.who, "COM3")
