"""Everything read again after the reading got better: the lines that are due, some at a time.

A line says which code made it, so what is left to do stands in the store itself: who is broken off
goes on from there. On a server, any number of processes and machines share the work: tasks.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from unspool.kept.lines import Lines, is_due
from unspool.store import RunRow, Store

AT_ONCE = 25  # runs of one task: some seconds
Progress = Callable[[int, int], None]


def due(store: Store) -> list[RunRow]:
    """The runs whose lines older code made, or that have none, in the order of their ids."""
    known = store.lines()
    return [row for row in store.runs() if is_due(row, known.get(row.id))]


def parts(rows: Sequence[RunRow]) -> list[Sequence[RunRow]]:
    return [rows[begin : begin + AT_ONCE] for begin in range(0, len(rows), AT_ONCE)]


def read_part(store: Store, rows: Sequence[RunRow]) -> None:
    """Reads those of these runs that are due still, and keeps their lines.

    Raises StoreError if they cannot be kept.
    """
    lines, known = Lines(store), store.lines([row.id for row in rows])
    store.write_lines([lines.make(row) for row in rows if is_due(row, known.get(row.id))])


def read_all(store: Store, progress: Progress) -> int:
    """Reads what is due, in this process alone. Returns how many runs that were."""
    rows = due(store)
    progress(0, len(rows))
    done = 0
    for some in parts(rows):
        read_part(store, some)
        done += len(some)
        progress(done, len(rows))
    return done
