"""Bytes that both sides of the line must write and read alike.

Laid out by hand from docs/protocol.md; CRCs and stuffing by the crccheck and cobs packages.
"""

from __future__ import annotations

from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    Identify,
    Sensors,
    Status,
    WireMessage,
)
from unspool.instrument.wire.table import TABLE_HASH

BOOT = 0x1234
IDENTITY = 0xC0FFEE01
BOARD = (IDENTITY, BOOT)  # whom the named frames name

# A block of slots 0. Its header: edge 5, tick 1000, forward, slots 0.
BLOCK_HEADER = bytes.fromhex("05000000 e803000000 01")
BLOCK_CODES = (
    "111111111111 00 00110 1100100"  # 100 ticks on, nothing to predict from: in full, 7 bits
    " 0 000001000"  # 104: expected 100, residual 4 folds to 8, Rice 9 from spread 4096
    " 0 00000011"  # 104: expected 104, bias 8/4, residual -2 folds to 3, Rice 8 from spread 3592
    " 111111111111 01 00101 110010"  # 50, and backward: in full, 6 bits
    " 111111111111 10 0000"  # the block ends, filled to a byte
)
BLOCK = BLOCK_HEADER + bytes.fromhex("fff0d900801fffa5cbffe0")
BLOCK_EDGES = ((5, 1000, 1), (6, 1100, 1), (7, 1204, 1), (8, 1308, 1), (9, 1358, -1))

EDGES_WHOLE = bytes.fromhex("021201030805010103e80301010501fff0d90a801fffa5cbffe0816700")
# the first four edges, and the rest, which begins with the unfinished byte
EDGES_BEGUN = bytes.fromhex("021201030b05010103e80301010501fff0d9058018120300")
EDGES_REST = bytes.fromhex("03120f01091fffa5cbffe0c8bd00")
EDGES_FAR = bytes.fromhex("03120f0ab51fffa5cbffe0436e00")  # the same at position 0xB000F

FRAMES: tuple[tuple[WireMessage, bytes], ...] = (
    (HelloRequest(0, 0), bytes.fromhex("0218010101010103551800")),
    (HelloRequest(BOOT, 7), bytes.fromhex("05183412070101036dc100")),
    (Acknowledge(256, 300, 1), bytes.fromhex("0219020101032c01010301310100")),
    (Configure(20, 5, 500, 2), bytes.fromhex("031a140705f40102d9d600")),
    (
        Status(0x34, 7304, 42, 4, 3, 0x6789ABCDEF, 256, 0x6700000001),
        bytes.fromhex("081334881c2a0403010106efcdab8967020101020101010467f99b00"),
    ),
    (Edges.at(0, 0x08, BLOCK), EDGES_WHOLE),
    (Edges.at(0, 0x0B, BLOCK_HEADER + bytes.fromhex("fff0d9008018")), EDGES_BEGUN),
    (Edges.at(15, 0, bytes.fromhex("1fffa5cbffe0")), EDGES_REST),
    (Edges.at(0x7B000F, 5, bytes.fromhex("1fffa5cbffe0")), EDGES_FAR),
    (Identify(IDENTITY), bytes.fromhex("081c01eeffc0894a00")),
    (Check(1), bytes.fromhex("051b013f3200")),
    # 2,097.152 ms, B high; 1.024 ms later A high too
    (
        Sensors(0x34, 258, bytes.fromhex("0100400003084000")),
        bytes.fromhex("0614340201010240040308400337a600"),
    ),
)


def hello(**changed: int) -> Hello:
    """A hello of the board whose edges stand above, with some of its fields changed."""
    values = {
        "table_hash": TABLE_HASH,
        "tick_hz": 250_000,
        "boot": BOOT,
        "identity": IDENTITY,
        "edges_per_turn": 20,
        "flush_ms": 50,
        "byte_us": 0,
        "oldest_position": 0,
        "oldest_edge": 5,
        "from_position": 0,
        "from_edge": 5,
        "next_edge": 10,
        "acknowledged_edge": 5,
        "sensors": 2,
    }
    return Hello(**(values | changed), firmware="test 1")
