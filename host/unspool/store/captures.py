"""Captures: the bytes as they arrived, which are only ever appended."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, func, insert, select

from unspool.store import schema
from unspool.store.cells import damaged
from unspool.store.rows import CaptureRow, Chunk, KnownEdges, Origin

_US = 1_000_000
_CAPTURES, _CHUNKS = dict(schema.captures.c.items()), dict(schema.chunks.c.items())
_ORIGINS = frozenset(Origin)


@dataclass(frozen=True)
class CaptureLog:
    """The end of one capture, where new bytes go."""

    capture: int
    session: int
    _write: Callable[[], AbstractContextManager[Connection]]

    def append(self, arrived_s: float, data: bytes, origin: Origin = Origin.BOARD) -> None:
        """Returns when the bytes are safe from a killed process and a power cut."""
        with self._write() as connection:
            connection.execute(
                insert(schema.chunks).values(
                    capture_id=self.capture,
                    session=self.session,
                    arrived_us=round(arrived_s * _US),
                    origin=origin,
                    data=data,
                )
            )


def begin(connection: Connection, link: str, known: KnownEdges | None) -> int:
    row = insert(schema.captures).values(
        link=link,
        started_us=time.time_ns() // 1000,
        known_boot=known.boot if known else None,
        known_edge=known.next_edge if known else None,
    )
    return int(connection.execute(row.returning(schema.captures.c.id)).scalar_one())


def sessions(connection: Connection, capture: int) -> int:
    """How many sessions wrote to the capture so far."""
    newest = select(func.max(schema.chunks.c.session)).where(schema.chunks.c.capture_id == capture)
    return connection.execute(newest).scalar() or 0


def listed(connection: Connection) -> list[CaptureRow]:
    """All but those with a damaged row, which nobody can go on with."""
    size = func.coalesce(func.sum(func.length(schema.chunks.c.data)), 0)
    session = func.coalesce(func.max(schema.chunks.c.session), 0)
    rows = connection.execute(
        select(
            schema.captures,
            session.label("sessions"),
            size.label("size"),
        )
        .select_from(schema.captures.outerjoin(schema.chunks))
        .group_by(schema.captures.c.id)
        .order_by(schema.captures.c.id)
    )
    return [
        CaptureRow(
            id=row.id,
            link=row.link,
            started_at=moment(row.started_us),
            sessions=row.sessions,
            size_bytes=row.size,
            known=_known(row.known_boot, row.known_edge),
        )
        for row in rows
        if not damaged(row, _CAPTURES)
    ]


def chunks(connection: Connection, capture: int) -> list[Chunk]:
    """All but the damaged ones: the edges' numbers then show the gap."""
    rows = connection.execute(
        select(schema.chunks)
        .where(schema.chunks.c.capture_id == capture)
        .order_by(schema.chunks.c.id)
    )
    return [
        Chunk(row.session, row.arrived_us / _US, row.data, Origin(row.origin))
        for row in rows
        if not damaged(row, _CHUNKS) and row.origin in _ORIGINS
    ]


def _known(boot: int | None, next_edge: int | None) -> KnownEdges | None:
    return None if boot is None or next_edge is None else KnownEdges(boot, next_edge)


def moment(us: int) -> datetime:
    return datetime.fromtimestamp(us / _US, UTC)
