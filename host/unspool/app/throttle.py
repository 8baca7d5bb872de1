"""Throttle: a client that gives wrong PINs waits longer each time, and no other waits with it."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock

FREE_TRIES = 3  # fingers slip
LONGEST_WAIT_S = 60.0
# Clients whose wrong PINs are remembered; the oldest is forgotten first.
REMEMBERED = 1000


class Throttle:
    """By client. clock: seconds that only rise. Safe from several threads."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock, self._lock = clock, Lock()
        # How many wrong PINs, and when the next is accepted.
        self._wrong: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def begin(self, client: str) -> bool:
        """Counts a try as wrong before it is known, so that many at once are not free.

        False, and nothing is counted, if it came too soon.
        """
        with self._lock:
            wrong, next_at = self._wrong.pop(client, (0, 0.0))
            now = self._clock()
            if soon := now < next_at:
                self._wrong[client] = (wrong, next_at)
            else:
                self._wrong[client] = (wrong + 1, now + _wait_s(wrong + 1))
            while len(self._wrong) > REMEMBERED:
                self._wrong.popitem(last=False)
            return not soon

    def was_right(self, client: str, *, forget: bool) -> None:
        """forget: the wrong ones before it, too. Else a PIN that opens little between two guesses
        would make the guesses free.
        """
        with self._lock:
            wrong, _ = self._wrong.pop(client, (0, 0.0))
            if not forget and wrong > 1:
                self._wrong[client] = (wrong - 1, self._clock())

    def wait_s(self, client: str) -> float:
        """Seconds until the next PIN of this client is accepted."""
        with self._lock:
            return max(self._wrong.get(client, (0, 0.0))[1] - self._clock(), 0.0)


def _wait_s(wrong: int) -> float:
    return min(2.0 ** (wrong - FREE_TRIES + 1), LONGEST_WAIT_S) if wrong >= FREE_TRIES else 0.0
