"""Rate: how many requests a guest may make, so that one guest does not keep the others waiting."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

# A page makes some ten requests at once when it opens, and two a second while it shows work.
BURST = 120.0
A_SECOND = 20.0
# Guests that are remembered; the one that has asked for nothing longest is forgotten first.
REMEMBERED = 2000


class Rate:
    """A token bucket for each client. clock: seconds that only rise."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allows(self, client: str) -> bool:
        now = self._clock()
        left, since = self._buckets.pop(client, (BURST, now))
        left = min(left + (now - since) * A_SECOND, BURST)
        allowed = left >= 1.0
        self._buckets[client] = (left - 1.0 if allowed else left, now)
        while len(self._buckets) > REMEMBERED:
            self._buckets.popitem(last=False)
        return allowed
