"""KeptPins: the PINs of the store as they were a moment ago, for who asks for pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from threading import Lock

from unspool.errors import StoreError
from unspool.pins import opened_by
from unspool.store import KeptPin

# Another computer may have taken one away in the shared store.
FRESH_S = 2.0
# A store that is away makes who asks wait some seconds, so it is not asked again at once.
AWAY_S = 30.0


class KeptPins:
    """read: asks the store. clock: seconds that only rise. Safe from several threads.

    If the store does not answer, what was known before still holds.
    """

    def __init__(self, read: Callable[[], Sequence[KeptPin]], clock: Callable[[], float]) -> None:
        self._read, self._clock, self._lock = read, clock, Lock()
        self._known: Sequence[KeptPin] = ()
        self._fresh_until = -1.0

    @property
    def is_fresh(self) -> bool:
        return self._clock() < self._fresh_until

    def now(self) -> Sequence[KeptPin]:
        """May wait for the store, so not for the event loop."""
        with self._lock:
            if not self.is_fresh:
                wait_s = AWAY_S
                with suppress(StoreError):
                    self._known, wait_s = self._read(), FRESH_S
                self._fresh_until = self._clock() + wait_s
            return self._known

    def changed(self) -> None:
        """This computer has changed them."""
        self._fresh_until = -1.0

    def opened_by(self, name: str, pin: str) -> KeptPin | None:
        """Takes a moment on purpose."""
        return opened_by(self.now(), name, pin)

    def knows(self, one: KeptPin) -> bool:
        """Whether it was there at the last look."""
        return one in self._known
