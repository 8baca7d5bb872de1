"""HandOver: what a station records into its own file goes to a shared store whenever that answers.

The recording never waits for it. A hand-over is a copy, so it is made as often as needed, and each
row arrives once, however often the network goes away in the middle.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Event, Thread
from typing import Self

from sqlalchemy import func, select

from unspool.closing import Closing
from unspool.errors import InputError, StoreError
from unspool.store import schema
from unspool.store.copying.copied import Copied
from unspool.store.copying.copy import copy
from unspool.store.place import Place
from unspool.store.store import Store

PAUSE_S = 10.0  # between two looks whether there is something new
_State = tuple[object, ...]


class HandOver(Closing):
    """Works in a thread of its own while it is entered, and makes a last copy when it is left.

    on_copied: called after each copy that had something new. on_fault: with each new reason why
    nothing can be handed over now; it is tried again all the same.
    """

    def __init__(
        self,
        source: Store,
        target: Place,
        on_copied: Callable[[Copied], None],
        on_fault: Callable[[StoreError], None],
        pause_s: float = PAUSE_S,
    ) -> None:
        if source.place == target:
            raise InputError(f"{target} is the store that is recorded into; hand over to another")
        self._source, self._target, self._pause_s = source, target, pause_s
        self._on_copied, self._on_fault = on_copied, on_fault
        self._stopping = Event()
        self._thread = Thread(target=self._work, name="hand over", daemon=True)
        self._done: _State | None = None
        self._fault = ""

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def close(self) -> None:
        self._stopping.set()
        self._thread.join()

    def _work(self) -> None:
        while not self._stopping.wait(self._pause_s):
            self._try()
        self._try()

    def _try(self) -> None:
        try:
            state = self._state()
            if state == self._done:
                return
            with Store.open(self._target) as there:
                did = copy(self._source, there)
        except StoreError as error:
            if str(error) != self._fault:
                self._on_fault(error)
            self._fault = str(error)
            return
        self._done, self._fault = state, ""
        if did.rows or did.grown_runs:
            self._on_copied(did)

    def _state(self) -> _State:
        """Another one whenever there may be something to copy."""
        logs = (schema.corrections, schema.versions, schema.contest_events)
        tables = (schema.captures, schema.chunks, *logs)
        newest = [select(func.max(table.c.id)) for table in tables]
        runs = select(func.count(), func.sum(schema.runs.c.edges)).select_from(schema.runs)
        with self._source._read() as connection:
            found = [tuple(row) for one in (*newest, runs) for row in connection.execute(one)]
        return tuple(found)
