"""Captures: the bytes as they arrived, which are only ever appended."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, exists, func, insert, select, update

from unspool.errors import StoreWaitError
from unspool.store import schema
from unspool.store.appends import Append, Appends, taken
from unspool.store.cells import AnyRow, damaged
from unspool.store.moments import moment
from unspool.store.rows import BoardKey, CaptureRow, Chunk, KnownEdges, Origin

_US = 1_000_000
_OF = schema.captures.c
_CAPTURES, _CHUNKS = dict(_OF.items()), dict(schema.chunks.c.items())
_ORIGINS = frozenset(Origin)


@dataclass
class CaptureLog:
    """The end of one capture, where new bytes go. For one thread."""

    capture: int
    session: int
    _appends: Appends
    _unsure: tuple[float, bytes, Origin] | None = None  # what got no answer, and may be kept

    def append(
        self, arrived_s: float, data: bytes, origin: Origin = Origin.BOARD, stray_bytes: int = 0
    ) -> None:
        """Returns when the bytes are safe from a killed process and a power cut.

        stray_bytes: how many arrived before them that no frame explains. Raises StoreWaitError if
        the store gives no answer; the same bytes may then be given again, and are kept once. Raises
        CaptureTakenError if another recorder goes on with the capture; nothing is written then.
        """
        what = (arrived_s, data, origin)
        again = self._unsure == what
        try:
            self._appends(Append(self.capture, self.session, *what, stray_bytes, again))
        except StoreWaitError:
            self._unsure = what
            raise
        self._unsure = None


def begin(connection: Connection, link: str, known: KnownEdges | None, key: BoardKey | None) -> int:
    row = insert(schema.captures).values(
        link=link,
        started_us=time.time_ns() // 1000,
        known_boot=known.boot if known else None,
        known_edge=known.next_edge if known else None,
        board=key.identity if key else None,
        boot=key.boot if key else None,
    )
    return int(connection.execute(row.returning(_OF.id)).scalar_one())


def begin_session(
    connection: Connection, capture: int, after: int | None = None, *, again: bool = False
) -> int:
    """The number of a new session of the capture. From now on no other session may write to it.

    again: the answer to an earlier call was lost, so that session may be there already. If it wrote
    nothing, it is passed over.
    Raises CaptureTakenError if its last session is not `after`, or the capture is gone.
    """
    mine = [_OF.id == capture]
    if after is not None:
        unused = (_OF.sessions == after + 1) & ~_wrote(after + 1)
        mine.append((_OF.sessions == after) | unused if again else _OF.sessions == after)
    change = update(schema.captures).where(*mine).values(sessions=_OF.sessions + 1)
    session = connection.execute(change.returning(_OF.sessions)).scalar()
    if session is None:
        raise taken(capture)
    return int(session)


def _wrote(session: int) -> ColumnElement[bool]:
    written = schema.chunks.c
    return exists().where(written.capture_id == _OF.id, written.session == session)


def listed(connection: Connection) -> list[CaptureRow]:
    """All but those with a damaged row, which nobody can go on with."""
    return _rows(connection, _selected())


def one(connection: Connection, capture: int) -> CaptureRow | None:
    """None when there is none of that number, or it is damaged."""
    return next(iter(_rows(connection, _selected().where(_OF.id == capture))), None)


def last_of_board(connection: Connection, identity: int) -> CaptureRow | None:
    """The newest capture of the board; None if there is none."""
    return _last(connection, _OF.board == identity)


def last_of_link(connection: Connection, link: str) -> CaptureRow | None:
    """The newest capture over the link that is of no board with a number."""
    return _last(connection, (_OF.link == link) & _OF.board.is_(None))


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


def _last(connection: Connection, which: ColumnElement[bool]) -> CaptureRow | None:
    newest = connection.execute(select(func.max(_OF.id)).where(which)).scalar()
    return None if newest is None else one(connection, newest)


def _selected() -> Select[Any]:
    size = select(func.coalesce(func.sum(func.length(schema.chunks.c.data)), 0))
    runs = select(func.count()).select_from(schema.runs)
    return select(
        schema.captures,
        size.where(schema.chunks.c.capture_id == _OF.id).scalar_subquery().label("size"),
        runs.where(schema.runs.c.capture_id == _OF.id).scalar_subquery().label("runs"),
    ).order_by(_OF.id)


def _rows(connection: Connection, which: Select[Any]) -> list[CaptureRow]:
    return [_row(row) for row in connection.execute(which) if not damaged(row, _CAPTURES)]


def _row(row: AnyRow) -> CaptureRow:
    whose = row.board is not None and row.boot is not None
    counted = row.known_boot is not None and row.known_edge is not None
    return CaptureRow(
        id=row.id,
        link=row.link,
        started_at=moment(row.started_us),
        sessions=row.sessions,
        size_bytes=row.size,
        known=KnownEdges(row.known_boot, row.known_edge) if counted else None,
        key=BoardKey(row.board, row.boot) if whose else None,
        stray_bytes=row.stray_bytes,
        runs=row.runs,
    )
