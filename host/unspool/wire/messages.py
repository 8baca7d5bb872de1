"""The messages as values, and their payload bytes as the message table lays them out."""

from __future__ import annotations

from dataclasses import astuple, dataclass, fields
from typing import ClassVar

from unspool.wire import table
from unspool.wire.table import SIZES


@dataclass(frozen=True)
class Hello:
    row: ClassVar[table.Message] = table.HELLO
    table_hash: int
    tick_hz: int
    boot: int
    edges_per_turn: int
    flush_ms: int
    byte_us: int
    oldest_position: int
    oldest_edge: int
    from_position: int
    from_edge: int
    next_edge: int
    acknowledged_edge: int
    firmware: str


@dataclass(frozen=True)
class Edges:
    row: ClassVar[table.Message] = table.EDGES
    boot: int
    position: int
    marks: int
    log: bytes


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


@dataclass(frozen=True)
class HelloRequest:
    row: ClassVar[table.Message] = table.HELLO_REQUEST
    boot: int
    edge: int


@dataclass(frozen=True)
class Acknowledge:
    row: ClassVar[table.Message] = table.ACKNOWLEDGE
    boot: int
    position: int
    edge: int
    resend: int


@dataclass(frozen=True)
class Configure:
    row: ClassVar[table.Message] = table.CONFIGURE
    edges_per_turn: int
    flush_ms: int
    byte_us: int


Said = Hello | Edges | Status | HelloRequest | Acknowledge | Configure
KINDS: dict[int, type[Said]] = {
    kind.row.number: kind for kind in (Hello, Edges, Status, HelloRequest, Acknowledge, Configure)
}


def pack(message: Said) -> bytes:
    """Head byte and payload, without CRC. Raises OverflowError where a value does not fit."""
    out = bytearray([message.row.head])
    for field, value in zip(message.row.fields, astuple(message), strict=True):
        if isinstance(value, int):
            out += value.to_bytes(SIZES[field.kind], "little")
        else:
            out += value.encode() if isinstance(value, str) else value
    return bytes(out)


def unpack(body: bytes) -> Said:
    """Read head byte and payload. Raises ValueError where they are no message of the table."""
    kind = KINDS.get(body[0] & 0x0F)
    if kind is None:
        raise ValueError(f"message {body[0] & 0x0F} is not in the table")
    size = len(body) - 1 - kind.row.fixed_size
    if size < 0 or (size > 0 and not kind.row.open_ended):
        raise ValueError(f"{kind.row.name} has a wrong length")
    values: list[int | str | bytes] = []
    at = 1
    for field in kind.row.fields:
        if field.kind in SIZES:
            values.append(int.from_bytes(body[at : at + SIZES[field.kind]], "little"))
            at += SIZES[field.kind]
        else:
            rest = body[at:]
            values.append(rest.decode("utf-8", "replace") if field.kind == "text" else rest)
    return kind(*values)  # type: ignore[arg-type]  # kinds come from the table, checked by a test


def field_names(kind: type[Said]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))
