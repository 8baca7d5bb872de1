"""CRC-16/IBM-3740 (polynomial 0x1021, start 0xFFFF, not reflected, no final XOR).

Sent high byte first, so that the CRC over a frame with its own CRC is 0.
"""

from __future__ import annotations

from binascii import crc_hqx

START = 0xFFFF


def crc16(data: bytes) -> int:
    return crc_hqx(data, START)


def with_crc(data: bytes) -> bytes:
    return data + crc16(data).to_bytes(2, "big")
