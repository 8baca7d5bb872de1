"""Chunks of captures, in the order of their ids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sqlalchemy import Connection, func, insert, select

from unspool.errors import StoreWaitError
from unspool.store import schema
from unspool.store.copying.captures import Captures
from unspool.store.copying.numbers import Numbers

_CHUNKS = schema.chunks.c


def copy_chunks(
    here: Connection, there: Connection, ids: Sequence[int], captures: Captures
) -> Counter[int]:
    """How many were copied of each of the target's captures.

    Raises StoreWaitError if somebody else copies the same.
    """
    rows = here.execute(select(schema.chunks).where(_CHUNKS.id.in_(ids)).order_by(_CHUNKS.id))
    new = [dict(row._mapping) for row in rows]
    numbers = Numbers(there, schema.chunks)
    for cells in new:
        cells["id"], cells["capture_id"] = numbers(cells["id"]), captures.ids[cells["capture_id"]]
    more = Counter(cells["capture_id"] for cells in new)
    _refuse_others(there, more, captures)
    there.execute(insert(schema.chunks), new)
    numbers.keep()
    return more


def _refuse_others(there: Connection, more: Counter[int], captures: Captures) -> None:
    counted = select(_CHUNKS.capture_id, func.count()).where(_CHUNKS.capture_id.in_(list(more)))
    now = {row[0]: row[1] for row in there.execute(counted.group_by(_CHUNKS.capture_id))}
    for capture in more:
        if now.get(capture, 0) != captures.had[capture]:
            raise StoreWaitError(
                "another program copies the same captures; wait until it has ended, then start this"
                " copy again"
            )
