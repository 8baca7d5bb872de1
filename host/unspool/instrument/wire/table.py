"""The message table: every message, field and constant of the protocol, written once.

firmware/core/messages.h and the tables of docs/protocol.md are made from it by
`python firmware/generate.py`; a test fails when they are stale. TABLE_HASH goes into the hello, so
that a board made from another table is refused instead of misread.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from struct import Struct
from zlib import crc32

PROTOCOL = 1  # the upper four bits of each frame's first byte
EDGE_TICKS_SHIFT = 3  # the board stamps at 0.5 us and codes at 0.5 us * 2**3 = 4 us

FRAME_DATA = 64  # log bytes in one EDGES frame
FRAME_DATA_AGAIN = 16  # the same while what is sent again does not get through
MAX_PAYLOAD = 68  # bytes of a frame between its first byte and its CRC
MAX_FRAME = MAX_PAYLOAD + 1 + 2 + 1  # head, CRC and the COBS byte; without the closing zero

BLOCK_BYTES = 192  # a block of this many bytes is closed
BLOCK_HEADER = 10
BYTES_A_BLOCK = 128  # a log holds a block for each so many of its bytes; some blocks are short
RESTART_BYTES = 5  # more, in the header of a block after a restart
MOST_EDGES_PER_TURN = 65_535  # fits 16 bits; a car file allows no more either
MAX_SLOTS = 48  # edges a turn up to which an interval is predicted from the turn before

SECOND_MS = 1000  # status, and hello while no host is heard
HOST_LOST_MS = 2000  # without a host's frame for so long, edges are kept and not sent
GO_BACK_MS = 500  # unacknowledged for so long, they are sent again
FLUSH_MS = 50  # an unfilled frame waits so long for more edges, if more are expected
RESUME_MS = 300  # after a reset the clock goes on so much later than it was kept last
CHECK_MS = 50  # between two SENSORS frames of a check in which little happens

FIVE_VOLT_ABOVE_MV = 3650  # no 3.3 V regulator gives this, within the reference's error
LOW_5V_MV = 4000  # a little above what 16 MHz needs
LOW_3V3_MV = 3000  # a little above the brown-out
RECOVERED_MV = 100  # above the limit, before it can be low once more

CONSTANTS = (
    "PROTOCOL",
    "EDGE_TICKS_SHIFT",
    "FRAME_DATA",
    "FRAME_DATA_AGAIN",
    "MAX_PAYLOAD",
    "BLOCK_BYTES",
    "BLOCK_HEADER",
    "BYTES_A_BLOCK",
    "RESTART_BYTES",
    "MAX_SLOTS",
    "SECOND_MS",
    "HOST_LOST_MS",
    "GO_BACK_MS",
    "FLUSH_MS",
    "RESUME_MS",
    "CHECK_MS",
    "FIVE_VOLT_ABOVE_MV",
    "LOW_5V_MV",
    "LOW_3V3_MV",
    "RECOVERED_MV",
)

# all little-endian; "bytes" and "text" end a frame
SIZES = {"u8": 1, "u16": 2, "u32": 4, "u40": 5}
FORMATS = {"u8": "B", "u16": "H", "u32": "I", "u40": "5s"}  # struct has no 5-byte integer


class ResetCause(IntEnum):
    UNKNOWN = 0
    POWER_ON = 1
    EXTERNAL = 2
    BROWN_OUT = 3
    WATCHDOG = 4


@dataclass(frozen=True)
class Field:
    name: str
    kind: str
    unit: str
    meaning: str


@dataclass(frozen=True)
class Message:
    name: str
    number: int
    sender: str  # "board" or "host"
    fields: tuple[Field, ...]
    named: bool = False  # its CRC begins with the board's number and boot: only that board hears it

    @property
    def head(self) -> int:
        return PROTOCOL << 4 | self.number

    @cached_property
    def layout(self) -> Struct:
        """The payload before a closing "bytes" or "text" field."""
        return Struct("<" + "".join(FORMATS.get(field.kind, "") for field in self.fields))

    @property
    def fixed_size(self) -> int:
        return self.layout.size

    @cached_property
    def open_ended(self) -> bool:
        return self.fields[-1].kind not in SIZES


HELLO = Message(
    "hello",
    1,
    "board",
    (
        Field("table_hash", "u32", "", "CRC-32 of the message table the board was made from"),
        Field("tick_hz", "u32", "Hz", "rate of the ticks in EDGES and STATUS"),
        Field("boot", "u16", "", "boot number, one more at each start with an empty log"),
        Field("identity", "u32", "", "the board's own number; 0 if no host has given it one"),
        Field("edges_per_turn", "u16", "edges", "0 if no host has configured it"),
        Field("flush_ms", "u8", "ms", "how long an unfilled frame waits for more edges"),
        Field("byte_us", "u16", "us", "time left to the link for each byte sent; 0 no limit"),
        Field("oldest_position", "u32", "bytes", "log position of the oldest block kept"),
        Field("oldest_edge", "u32", "", "number of that block's first edge"),
        Field("from_position", "u32", "bytes", "start of the block that is sent now"),
        Field("from_edge", "u32", "", "number of that block's first edge"),
        Field("next_edge", "u32", "", "number that the next edge will get"),
        Field("acknowledged_edge", "u32", "", "first edge that no host has acknowledged"),
        Field("sensors", "u8", "", "2; or 1: sensor B is not looked at, all edges are forward"),
        Field("firmware", "text", "", "name and version of the firmware, at most 24 bytes"),
    ),
)
EDGES = Message(
    "edges",
    2,
    "board",
    (
        Field("position", "u16", "bytes", "log position of the first byte in `log`, its low bits"),
        Field(
            "marks",
            "u8",
            "",
            "bits 0 to 2: unused bits in the last byte; 3: a block starts; 4 to 7: bits 16 to 19 of"
            " the position",
        ),
        Field("log", "bytes", "", "1 to FRAME_DATA bytes of the log"),
    ),
)
STATUS = Message(
    "status",
    3,
    "board",
    (
        Field("boot", "u8", "", "low byte of the boot number"),
        Field("battery_mv", "u16", "mV", "supply voltage; 0 not measured"),
        Field("ring_fill_percent", "u8", "%", "share of the log's memory in use"),
        Field(
            "reset_cause", "u8", "", "0 unknown, 1 power-on, 2 external, 3 brown-out, 4 watchdog"
        ),
        Field("edges_lost", "u32", "edges", "lost since boot, never acknowledged"),
        Field("ticks", "u40", "ticks", "the board's clock when it made this frame"),
        Field("next_edge", "u32", "", "number that the next edge will get"),
        Field(
            "restarted_at", "u40", "ticks", "the clock after the last reset of this boot; 0 none"
        ),
    ),
)
SENSORS = Message(
    "sensors",
    4,
    "board",
    (
        Field("boot", "u8", "", "low byte of the boot number"),
        Field("number", "u16", "", "of the first sample, from 0 at the check's start, wrapping"),
        Field("samples", "bytes", "", "4 bytes each: what both sensors showed, and when"),
    ),
)
HELLO_REQUEST = Message(
    "hello_request",
    8,
    "host",
    (
        Field("boot", "u16", "", "boot number that the host knows; 0 none"),
        Field("edge", "u32", "", "first edge of that boot that the host does not have"),
    ),
)
ACKNOWLEDGE = Message(
    "acknowledge",
    9,
    "host",
    (
        Field("position", "u32", "bytes", "all log bytes before it are stored by the host"),
        Field("edge", "u32", "", "all edges before it are stored by the host"),
        Field("resend", "u8", "", "1: send again from `position` on"),
    ),
    named=True,
)
CONFIGURE = Message(
    "configure",
    10,
    "host",
    (
        Field("edges_per_turn", "u16", "edges", "edges of sensor A in one turn of its axle"),
        Field("flush_ms", "u8", "ms", "how long an unfilled frame waits for more edges"),
        Field("byte_us", "u16", "us", "time left to the link for each byte sent; 0 no limit"),
        Field("sensors", "u8", "", "1: all edges are forward, sensor B is not looked at; else 2"),
    ),
    named=True,
)
CHECK = Message(
    "check",
    11,
    "host",
    (Field("on", "u8", "", "1: show both sensors for HOST_LOST_MS from now; 0: no longer"),),
    named=True,
)
IDENTIFY = Message(
    "identify",
    12,
    "host",
    (Field("identity", "u32", "", "number for a board that has none; another keeps its own"),),
)

MESSAGES = (HELLO, EDGES, STATUS, SENSORS, HELLO_REQUEST, ACKNOWLEDGE, CONFIGURE, CHECK, IDENTIFY)

UNUSED_BITS_MASK = 0x07  # of EDGES.marks
BLOCK_STARTS = 0x08
POSITION_BITS = 20  # of a log position in EDGES: the field `position` and the upper half of `marks`
BLOCK_RESTARTED = 0x80  # of a block header's last byte: the board restarted before this block
SAMPLE_BYTES = 4  # of SENSORS.samples
SAMPLE_B = 0x01  # sensor B's level; these two stand in place of the stamp's lowest bits
SAMPLE_A = 0x02


def canonical() -> str:
    """The table as text: what TABLE_HASH is taken over."""
    lines = [f"{name}={globals()[name]}" for name in CONSTANTS]
    for message in MESSAGES:
        fields = ",".join(f"{field.name}:{field.kind}" for field in message.fields)
        named = " named" if message.named else ""
        lines.append(f"{message.number} {message.sender} {message.name} {fields}{named}")
    return "\n".join(lines)


TABLE_HASH = crc32(canonical().encode())
