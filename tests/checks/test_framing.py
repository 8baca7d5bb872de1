"""Framing against published check values.

CRC: the check values for '123456789' of the CRC catalogue, as the crccheck package has them.
COBS: the examples of Cheshire and Baker as Wikipedia's table has them; the closing zero left off.
Folding: the ZigZag table of the Protocol Buffers encoding guide.
"""

from __future__ import annotations

import crccheck.crc
import pytest

from unspool.instrument.wire import cobs
from unspool.instrument.wire.crc import crc16, with_crc
from unspool.instrument.wire.prediction import fold, unfold


def test_crc_16_ibm_3740() -> None:
    assert crc16(b"123456789") == 0x29B1
    assert crc16(b"") == 0xFFFF
    assert crc16(b"A") == 0xB915
    assert crc16(with_crc(b"any message")) == 0


def test_crc_is_the_catalogued_one_and_no_neighbour_of_it() -> None:
    neighbours = {"Crc16Xmodem", "Crc16SpiFujitsu", "Crc16Genibus", "Crc16Kermit", "Crc16IbmSdlc"}
    for data in (b"", b"\0", bytes(range(256)), b"unspool"):
        assert crc16(data) == crccheck.crc.Crc16Ibm3740.calc(data)
        assert all(getattr(crccheck.crc, n).calc(b"123456789") != 0x29B1 for n in neighbours)


RUN = bytes(range(1, 256))  # 01 to FF
COBS = [
    (b"", "01"),
    (bytes.fromhex("00"), "01 01"),
    (bytes.fromhex("00 00"), "01 01 01"),
    (bytes.fromhex("00 11 00"), "01 02 11 01"),
    (bytes.fromhex("11 22 00 33"), "03 11 22 02 33"),
    (bytes.fromhex("11 22 33 44"), "05 11 22 33 44"),
    (bytes.fromhex("11 00 00 00"), "02 11 01 01 01"),
    (b"\0" + RUN[:254], "01 FF" + RUN[:254].hex()),
    (RUN, "FF" + RUN[:254].hex() + "02 FF"),
    (RUN[1:] + b"\0", "FF" + RUN[1:].hex() + "01 01"),
    (RUN[2:] + b"\0\x01", "FE" + RUN[2:].hex() + "02 01"),
]


@pytest.mark.parametrize(("plain", "encoded"), COBS)
def test_cobs(plain: bytes, encoded: str) -> None:
    assert cobs.encode(plain) == bytes.fromhex(encoded)
    assert cobs.decode(bytes.fromhex(encoded)) == plain


def test_cobs_of_a_full_group_at_the_end() -> None:
    """Some encoders add a closing 01 there; the table has none, and a decoder takes both."""
    assert cobs.decode(b"\xff" + RUN[:254]) == RUN[:254]
    assert cobs.decode(b"\xff" + RUN[:254] + b"\x01") == RUN[:254]
    assert cobs.encode(RUN[:254]) == b"\xff" + RUN[:254]


@pytest.mark.parametrize(
    ("residual", "folded"),
    [(0, 0), (-1, 1), (1, 2), (-2, 3), (2147483647, 4294967294), (-2147483648, 4294967295)],
)
def test_folding_is_zigzag(residual: int, folded: int) -> None:
    assert fold(residual) == folded
    assert unfold(folded) == residual
