"""The copy: sheets, captures, runs, what was said of them, and which board has which car.

The source is seen as it was when the copy began. The target gets many short transactions, so others
go on there. A copy that is broken off is started again, and goes on from there: each part says
itself what is in the target already. Results that are kept beside the runs are no truth, and stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from unspool.errors import InputError
from unspool.store import board_cars, schema
from unspool.store.copying.captures import copy_captures
from unspool.store.copying.choice import Choice, choose
from unspool.store.copying.chunks import copy_chunks
from unspool.store.copying.contests import copy_contests
from unspool.store.copying.copied import Copied, Progress
from unspool.store.copying.histories import copy_histories
from unspool.store.copying.numbers import last_given
from unspool.store.copying.runs import Ids, copy_runs
from unspool.store.copying.sheets import copy_sheets

if TYPE_CHECKING:
    from unspool.store.store import Store

CHUNKS, RUNS = 500, 100  # rows of one transaction


def _in_silence(_what: str, _done: int, _of: int) -> None:
    pass


def copy(
    source: Store, target: Store, tag: str | None = None, progress: Progress = _in_silence
) -> Copied:
    """Copies what the target does not have yet. tag: only runs with this tag, and what they need.

    Raises InputError if both are one store or no run has the tag, StoreError, and StoreWaitError if
    another copy of the same captures is under way.
    """
    if source.place == target.place:
        raise InputError(f"{source.place} is both the store to copy from and the one to copy to")
    did = Copied()
    with source._read() as here:
        chosen = choose(here, tag)
        if tag is not None and not chosen.runs:
            raise InputError(f"no run of the store {source.place} has the tag {tag!r}")
        with target._write() as there:
            floor = last_given(there, schema.corrections)
            sheets = copy_sheets(here, there, chosen.cars, chosen.tracks, did)
        ids = Ids(sheets, _captures(here, target, chosen, did, progress))
        _runs(here, target, chosen, ids, floor, did, progress)
        if tag is None:
            with target._write() as there:
                copy_contests(here, there, did)
            _board_cars(here, target)
    return did


def _captures(
    here: Connection, target: Store, chosen: Choice, did: Copied, progress: Progress
) -> dict[int, int]:
    with target._write() as there:
        captures = copy_captures(here, there, chosen.captures, did)
    for some, done in _counted(captures.missing, CHUNKS, "chunks", progress):
        with target._write() as there:
            copied = copy_chunks(here, there, some, captures)
        for capture, count in copied.items():
            captures.had[capture] += count
        did.chunks += done
    return captures.ids


def _runs(
    here: Connection,
    target: Store,
    chosen: Choice,
    ids: Ids,
    floor: int,
    did: Copied,
    progress: Progress,
) -> None:
    for some, _ in _counted(chosen.runs, RUNS, "runs", progress):
        with target._write() as there:
            copy_runs(here, there, some, ids, did)
            copy_histories(here, there, some, ids, floor, did)


def _counted(
    ids: Sequence[int], size: int, what: str, progress: Progress
) -> Iterator[tuple[Sequence[int], int]]:
    """Some at a time, each with its length; says how many are done after each."""
    done = 0
    progress(what, 0, len(ids))
    for begin in range(0, len(ids), size):
        some = ids[begin : begin + size]
        yield some, len(some)
        done += len(some)
        progress(what, done, len(ids))


def _board_cars(here: Connection, target: Store) -> None:
    """What the target says of a board itself stays."""
    new = board_cars.listed(here)
    with target._write() as there:
        known = board_cars.listed(there)
        for board, has in new.items():
            if board not in known:
                board_cars.remember(there, board, has)
