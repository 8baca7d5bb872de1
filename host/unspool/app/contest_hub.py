"""ContestHub: which revision each contest has, for the pages that follow it.

However many pages watch, the store is asked once in FRESH_S. So what another program notes is seen,
too, and two hundred watchers cost no more than one.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

from unspool.app.listeners import Listeners
from unspool.contest import Contest
from unspool.judging import contest_in
from unspool.store import Store

FRESH_S = 1.0


@dataclass(frozen=True)
class _Seen:
    at_s: float
    revision: int


class ContestHub:
    """Safe from several threads. clock: seconds that only rise."""

    def __init__(self, store: Store, clock: Callable[[], float] = time.monotonic) -> None:
        self.store, self._clock = store, clock
        self._lock, self._listeners, self._lookers = Lock(), Listeners(), Listeners()
        self._seen: dict[str, _Seen] = {}
        self._states: dict[str, Contest] = {}

    def revision(self, contest: str) -> int:
        """Raises InputError if there is no such contest."""
        with self._lock:
            seen = self._seen.get(contest)
            if seen is not None and self._clock() - seen.at_s < FRESH_S:
                return seen.revision
            seen = _Seen(self._clock(), self.store.contests.revision(contest))
            self._seen[contest] = seen
        self._lookers.notify()
        return seen.revision

    def state(self, contest: str) -> Contest:
        """The contest now, which the caller only reads. Raises InputError as `revision`."""
        newest = self.store.contests.revision(contest)
        with self._lock:
            kept = self._states.get(contest)
        if kept is None or kept.revision != newest:
            kept = contest_in(self.store, contest)
            with self._lock:
                self._states[contest] = kept
        return kept

    def changed(self, contest: str) -> None:
        """Somebody here noted something: all pages hear of it at once."""
        with self._lock:
            self._seen.pop(contest, None)
        self._listeners.notify()

    def subscribe(self, listener: Callable[[], object]) -> Callable[[], None]:
        """Calls it at each change made here. Returns what ends that."""
        return self._listeners.add(listener)

    def on_look(self, listener: Callable[[], object]) -> None:
        """Calls it after each look into the store, so once in FRESH_S while any page watches."""
        self._lookers.add(listener)
