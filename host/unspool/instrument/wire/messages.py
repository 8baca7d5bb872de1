"""The messages as values, and their payload bytes as the message table lays them out."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from typing import ClassVar

from unspool.instrument.wire import table
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.table import SIZES


@dataclass(frozen=True)
class Hello:
    row: ClassVar[table.Message] = table.HELLO
    table_hash: int
    tick_hz: int
    boot: int
    identity: int
    edges_per_turn: int
    flush_ms: int
    byte_us: int
    oldest_position: int
    oldest_edge: int
    from_position: int
    from_edge: int
    next_edge: int
    acknowledged_edge: int
    sensors: int
    firmware: str


@dataclass(frozen=True)
class Edges:
    row: ClassVar[table.Message] = table.EDGES
    position: int
    marks: int
    log: bytes

    @staticmethod
    def at(position: int, marks: int, log: bytes) -> Edges:
        """position: in the log, from boot; marks: the lower four bits."""
        return Edges(position & 0xFFFF, position >> 12 & 0xF0 | marks, log)

    @property
    def place(self) -> int:
        """The lowest POSITION_BITS bits of the position."""
        return self.position | self.marks >> 4 << 16


@dataclass(frozen=True)
class Status:
    row: ClassVar[table.Message] = table.STATUS
    boot: int
    battery_mv: int
    ring_fill_percent: int
    reset_cause: int
    edges_lost: int
    ticks: int
    next_edge: int
    restarted_at: int


@dataclass(frozen=True)
class Sensors:
    row: ClassVar[table.Message] = table.SENSORS
    boot: int
    number: int
    samples: bytes


@dataclass(frozen=True)
class HelloRequest:
    row: ClassVar[table.Message] = table.HELLO_REQUEST
    boot: int
    edge: int


@dataclass(frozen=True)
class Acknowledge:
    row: ClassVar[table.Message] = table.ACKNOWLEDGE
    position: int
    edge: int
    resend: int


@dataclass(frozen=True)
class Configure:
    row: ClassVar[table.Message] = table.CONFIGURE
    edges_per_turn: int
    flush_ms: int
    byte_us: int
    sensors: int


@dataclass(frozen=True)
class Check:
    row: ClassVar[table.Message] = table.CHECK
    on: int


@dataclass(frozen=True)
class Identify:
    row: ClassVar[table.Message] = table.IDENTIFY
    identity: int


BoardMessage = Hello | Edges | Status | Sensors
HostMessage = HelloRequest | Acknowledge | Configure | Check | Identify
WireMessage = BoardMessage | HostMessage
BOARD_KINDS = (Hello, Edges, Status, Sensors)
HOST_KINDS = (HelloRequest, Acknowledge, Configure, Check, Identify)
KINDS: dict[int, type[WireMessage]] = {
    kind.row.number: kind for kind in (*BOARD_KINDS, *HOST_KINDS)
}


def pack(message: WireMessage) -> bytes:
    """Head byte and payload, without CRC. Raises OverflowError if a value does not fit."""
    out = bytearray([message.row.head])
    for field, value in zip(message.row.fields, astuple(message), strict=True):
        if isinstance(value, int):
            out += value.to_bytes(SIZES[field.kind], "little")
        else:
            out += value.encode() if isinstance(value, str) else value
    return bytes(out)


class MessageError(ValueError):
    """A body that is no message of the table; `code` says why."""

    def __init__(self, code: GarbledCode) -> None:
        super().__init__(code.value)
        self.code = code


def unpack(body: bytes) -> WireMessage:
    """Reads head byte and payload. Raises MessageError if they are no message of the table."""
    kind = KINDS.get(body[0] & 0x0F)
    if kind is None:
        raise MessageError(GarbledCode.UNKNOWN_MESSAGE)
    row = kind.row
    size = len(body) - 1 - row.fixed_size
    if size < 0 or (size > 0 and not row.open_ended):
        raise MessageError(GarbledCode.WRONG_LENGTH)
    values: list[int | str | bytes] = [
        value if isinstance(value, int) else int.from_bytes(value, "little")
        for value in row.layout.unpack_from(body, 1)
    ]
    if row.open_ended:
        rest = body[1 + row.fixed_size :]
        values.append(rest.decode("utf-8", "replace") if row.fields[-1].kind == "text" else rest)
    return kind(*values)  # type: ignore[arg-type]  # kinds come from the table, checked by a test
