"""A link that keeps a copy of all it hears."""

from __future__ import annotations

import time
from collections.abc import Callable

from unspool.instrument.link.base import Link


class RecordingLink(Link):
    """Any link, with a `keep(arrived_s, data)` that gets the bytes before the reader does."""

    def __init__(
        self,
        link: Link,
        keep: Callable[[float, bytes], None],
        clock: Callable[[], float] = time.time,
    ) -> None:
        self.spec, self.lasting, self.pace = link.spec, link.lasting, link.pace
        self.rate = link.rate
        self._link = link
        self._keep = keep
        self._clock = clock

    def open(self) -> None:
        self._link.open()

    def read(self, timeout_s: float) -> bytes:
        data = self._link.read(timeout_s)
        if data:
            self._keep(self._clock(), data)
        return data

    def write(self, data: bytes) -> None:
        self._link.write(data)

    def close(self) -> None:
        self._link.close()

    def give_up(self) -> None:
        self._link.give_up()
