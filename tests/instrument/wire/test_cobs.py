from __future__ import annotations

import pytest
from cobs import cobs as published
from hypothesis import given
from hypothesis import strategies as st

from unspool.instrument.wire import cobs

# long groups matter: 254 bytes without a zero
data = st.one_of(
    st.binary(max_size=600),
    st.lists(st.sampled_from([b"\0", b"x" * 253, b"x" * 254, b"yz"]), max_size=6).map(b"".join),
)


@given(data)
def test_no_zero_inside_and_the_same_comes_back(plain: bytes) -> None:
    encoded = cobs.encode(plain)
    assert 0 not in encoded
    assert len(encoded) <= len(plain) + len(plain) // 254 + 1
    assert cobs.decode(encoded) == plain


@given(data)
def test_agrees_with_the_published_package(plain: bytes) -> None:
    assert published.decode(cobs.encode(plain)) == plain
    assert cobs.decode(published.encode(plain)) == plain


low = st.lists(st.integers(1, 5), max_size=40).map(bytes)  # many of these are whole


@given(st.binary(max_size=300) | low)
def test_whatever_it_takes_has_one_meaning(encoded: bytes) -> None:
    try:
        plain = cobs.decode(encoded)
    except ValueError:
        assert not encoded or not _published_takes(encoded)
    else:
        assert published.decode(encoded) == plain


def _published_takes(encoded: bytes) -> bool:
    try:
        published.decode(encoded)
    except published.DecodeError:
        return False
    return True


@pytest.mark.parametrize("encoded", [b"", b"\x00", b"\x02", b"\x03a", b"\x02\x00", b"\x01\x00"])
def test_what_no_encoder_writes_is_refused(encoded: bytes) -> None:
    with pytest.raises(ValueError, match=r"empty|zero|cut"):
        cobs.decode(encoded)
