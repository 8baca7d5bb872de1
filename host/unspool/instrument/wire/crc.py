"""CRC-16/IBM-3740 (polynomial 0x1021, start 0xFFFF, not reflected, no final XOR).

Sent high byte first, so that the CRC over a frame with its own CRC is 0.
"""

from __future__ import annotations

from binascii import crc_hqx

START = 0xFFFF


def crc16(data: bytes, start: int = START) -> int:
    return crc_hqx(data, start)


def with_crc(data: bytes, start: int = START) -> bytes:
    return data + crc16(data, start).to_bytes(2, "big")


def named_start(identity: int, boot: int) -> int:
    """Where the CRC of a frame begins that is for this boot of this board only."""
    return crc16(identity.to_bytes(4, "little") + boot.to_bytes(2, "little"))
