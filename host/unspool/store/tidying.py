"""Tidying: captures that nobody needs any more are deleted.

A capture is kept if a run was found in it, or if something arrived in it within the last hour. The
newest of each board is kept, too, and the newest of each link that had a board without a number. A
recorder always writes to such a one, and the next one asks the board for what comes after it.
"""

from __future__ import annotations

import time

from sqlalchemy import Connection, Select, delete, func, select

from unspool.store import schema
from unspool.store.captures import listed
from unspool.store.rows import Tidied

RECENT_US = 3600 * 1_000_000
_CAPTURES, _CHUNKS, _RUNS = schema.captures.c, schema.chunks.c, schema.runs.c


def tidy(connection: Connection) -> Tidied:
    """Deletes them, wholly or not at all."""
    unneeded = [row.id for row in connection.execute(_unneeded())]
    gone = [row for row in listed(connection) if row.id in unneeded]
    for row in gone:
        connection.execute(delete(schema.chunks).where(_CHUNKS.capture_id == row.id))
        connection.execute(delete(schema.captures).where(_CAPTURES.id == row.id))
    return Tidied(len(gone), sum(row.size_bytes for row in gone))


def _unneeded() -> Select[tuple[int]]:
    since = time.time_ns() // 1000 - RECENT_US
    newest = func.max(_CAPTURES.id)
    of_boards = select(newest).where(_CAPTURES.board.isnot(None)).group_by(_CAPTURES.board)
    of_links = select(newest).where(_CAPTURES.board.is_(None)).group_by(_CAPTURES.link)
    with_runs = select(_RUNS.capture_id).where(_RUNS.capture_id.isnot(None))
    heard = select(_CHUNKS.capture_id).where(_CHUNKS.arrived_us > since)
    return select(_CAPTURES.id).where(
        _CAPTURES.started_us < since,
        *(_CAPTURES.id.not_in(kept) for kept in (of_boards, of_links, with_runs, heard)),
    )
