"""Consistent overhead byte stuffing (Cheshire and Baker, 1999): takes every zero out of a frame.

The zero is then free to end each frame on the line.
"""

from __future__ import annotations

LONGEST_GROUP = 0xFF  # this code stands for 254 bytes with no zero behind them


def encode(data: bytes) -> bytes:
    """Encode without the closing zero; at most one byte longer for each 254 begun."""
    out = bytearray()
    groups = data.split(b"\0")
    for group in groups:
        whole = len(group) - len(group) % 254
        for start in range(0, whole, 254):
            out.append(LONGEST_GROUP)
            out += group[start : start + 254]
        out.append(len(group) - whole + 1)
        out += group[whole:]
    if groups[-1] and len(groups[-1]) % 254 == 0:
        out.pop()  # a full group needs nothing behind it at the very end
    return bytes(out)


def decode(encoded: bytes) -> bytes:
    """Decode one frame, given without its closing zero.

    Takes a closing 0x01 behind a full group as well as its absence, since encoders differ there.
    Raises ValueError if the frame holds a zero or ends inside a group.
    """
    out = bytearray()
    at, end = 0, len(encoded)
    if not end:
        raise ValueError("empty")
    while at < end:
        code = encoded[at]
        group = encoded[at + 1 : at + code]
        if code == 0 or len(group) != code - 1:
            raise ValueError("cut inside a group")
        out += group
        at += code
        if code != LONGEST_GROUP and at < end:
            out.append(0)
    if 0 in encoded:
        raise ValueError("zero inside a frame")
    return bytes(out)
