"""Listeners: who must hear at once that there is news."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock


class Listeners:
    """Safe from several threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._listeners: list[Callable[[], object]] = []

    def add(self, changed: Callable[[], object]) -> Callable[[], None]:
        """Calls `changed` at each piece of news, from any thread. Returns what ends that.

        `changed` must return at once.
        """
        with self._lock:
            self._listeners.append(changed)

        def remove() -> None:
            with self._lock:
                self._listeners.remove(changed)

        return remove

    def notify(self) -> None:
        # With the lock held, no listener is called after it was removed.
        with self._lock:
            for changed in self._listeners:
                changed()
