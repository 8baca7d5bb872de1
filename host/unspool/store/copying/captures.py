"""Captures. Each only grows, so what the target has of one is its beginning."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.copying.copied import Copied
from unspool.store.copying.numbers import Numbers

_OF, _CHUNKS = schema.captures.c, schema.chunks.c
_COLUMNS, _CHUNK_COLUMNS = dict(_OF.items()), dict(_CHUNKS.items())
_SAME = ("link", "started_us", "board", "boot", "known_boot", "known_edge")
_COUNTED = ("sessions", "stray_bytes")


@dataclass
class Captures:
    """ids: the target's, by the source's. missing: the source's ids of the chunks to copy.

    had: how many chunks each of the target's captures had, by its id.
    """

    ids: dict[int, int] = field(default_factory=dict)
    missing: list[int] = field(default_factory=list)
    had: dict[int, int] = field(default_factory=dict)


def copy_captures(
    here: Connection, there: Connection, wanted: Collection[int], did: Copied
) -> Captures:
    """The captures alone; what `missing` names is copied then, by chunks.py."""
    found, known = Captures(), _by_moment(there)
    sizes, sizes_there = _sizes(here), _sizes(there)
    numbers = Numbers(there, schema.captures)
    for row in here.execute(select(schema.captures).order_by(_OF.id)):
        if row.id not in wanted:
            continue
        if damaged(row, _COLUMNS):
            did.damaged += 1
            continue
        size = sizes.get(row.id, (0, 0))
        for other in known.get((row.link, row.started_us), ()):
            rest = _rest(here, there, row, other, size == sizes_there.get(other.id, (0, 0)))
            if rest is not None:
                _follow(there, row, other)
                break
        else:
            other, rest = None, sound_chunks(here, row.id)
        number = other.id if other is not None else _new(there, row, numbers, did)
        found.ids[row.id] = number
        found.missing += [one.id for one in rest or ()]
        found.had[number] = sizes_there.get(number, (0, 0))[0]
    numbers.keep()
    found.missing.sort()
    return found


def sound_chunks(connection: Connection, capture: int) -> list[AnyRow]:
    """All but damaged ones, in order. A capture has some 64 kB at most."""
    rows = select(schema.chunks).where(_CHUNKS.capture_id == capture).order_by(_CHUNKS.id)
    return [row for row in connection.execute(rows) if not damaged(row, _CHUNK_COLUMNS)]


def _rest(
    here: Connection, there: Connection, row: AnyRow, other: AnyRow, whole: bool
) -> list[AnyRow] | None:
    """What the target's capture has not yet; None if it is another capture."""
    if any(getattr(row, name) != getattr(other, name) for name in _SAME):
        return None
    if whole:
        return []
    mine, known = sound_chunks(here, row.id), sound_chunks(there, other.id)
    shared = min(len(mine), len(known))
    if [_bytes_of(one) for one in mine[:shared]] != [_bytes_of(one) for one in known[:shared]]:
        return None
    return mine[shared:]


def _bytes_of(chunk: AnyRow) -> tuple[object, ...]:
    return chunk.session, chunk.arrived_us, chunk.origin, chunk.data


def _new(there: Connection, row: AnyRow, numbers: Numbers, did: Copied) -> int:
    cells = dict(row._mapping) | {"id": numbers(row.id)}
    there.execute(insert(schema.captures).values(cells))
    did.captures += 1
    return int(cells["id"])


def _follow(there: Connection, row: AnyRow, other: AnyRow) -> None:
    """Counts of a capture that grew; a recorder of the target may have counted further."""
    more = {name: getattr(row, name) for name in _COUNTED}
    if any(more[name] > getattr(other, name) for name in _COUNTED):
        largest = {name: max(more[name], getattr(other, name)) for name in _COUNTED}
        there.execute(update(schema.captures).where(_OF.id == other.id).values(largest))


def _by_moment(there: Connection) -> dict[tuple[Any, Any], list[AnyRow]]:
    found: dict[tuple[Any, Any], list[AnyRow]] = {}
    for row in there.execute(select(schema.captures).order_by(_OF.id)):
        found.setdefault((row.link, row.started_us), []).append(row)
    return found


def _sizes(connection: Connection) -> dict[int, tuple[int, int]]:
    """Chunks and bytes of each capture."""
    size = func.sum(func.length(_CHUNKS.data))
    rows = select(_CHUNKS.capture_id, func.count(), size).group_by(_CHUNKS.capture_id)
    return {row[0]: (row[1], row[2]) for row in connection.execute(rows)}
