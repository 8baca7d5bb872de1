"""Captured bytes played back as if a board sent them, and the file that they come from.

A capture file is one line `unspool capture 1`, then records: when (microseconds since the first
record, 64 bits), how many bytes (32 bits), both little-endian, then the bytes. Any other file is
taken as the bare bytes of a board, without times.
"""

from __future__ import annotations

import struct
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from unspool.errors import InputError
from unspool.instrument.link.base import Link, LinkEndedError

MAGIC = b"unspool capture 1\n"
_RECORD = struct.Struct("<QI")
_PIECE = 4096
# An hour of a board at full rate on a cable is 41 MB.
LARGEST_FILE_BYTES = 64 * 2**20

Timed = tuple[float, bytes]  # seconds since the start, bytes


def read_capture_file(path: Path) -> list[Timed]:
    """The records of a capture file; a file without times is one at time 0.

    A last record that was cut short gives the bytes that are there. Raises InputError when the
    file cannot be read.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror})") from error
    if len(content) > LARGEST_FILE_BYTES:
        raise InputError(f"{path} is larger than a capture can be; give another file")
    if not content.startswith(MAGIC):
        return [(0.0, content)]
    return list(_records(content))


def _records(content: bytes) -> Iterator[Timed]:
    at = len(MAGIC)
    while at + _RECORD.size <= len(content):
        since_us, size = _RECORD.unpack_from(content, at)
        at += _RECORD.size
        yield since_us * 1e-6, content[at : at + size]
        at += size


class ReplayLink(Link):
    """Plays records back in their own time, `speed` times as fast; speed 0 is as fast as it goes.

    What the host sends is dropped. The clock and sleep can be put in for tests.
    """

    def __init__(
        self,
        spec: str,
        records: Iterable[Timed],
        speed: float = 1.0,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.spec = spec
        self._records = [piece for record in records for piece in _pieces(record)]
        self._speed = speed
        self._clock = clock
        self._sleep = sleep
        self._next = 0
        self._start: float | None = None

    def open(self) -> None:
        """Goes on where it was; a replay starts at its first read."""

    def read(self, timeout_s: float) -> bytes:
        if self._next >= len(self._records):
            raise LinkEndedError(f"{self.spec} is played to its end")
        since_s, data = self._records[self._next]
        wait = self._wait_for(since_s)
        if wait > timeout_s:
            self._sleep(timeout_s)
            return b""
        if wait > 0:
            self._sleep(wait)
        self._next += 1
        return data

    def write(self, data: bytes) -> None:
        """A recording does not listen."""

    def close(self) -> None:
        """There is nothing to let go of."""

    def _wait_for(self, since_s: float) -> float:
        if self._speed == 0:
            return 0.0
        if self._start is None:
            self._start = self._clock()
        return self._start + since_s / self._speed - self._clock()


def _pieces(record: Timed) -> Iterator[Timed]:
    since_s, data = record
    for at in range(0, len(data), _PIECE):
        yield since_s, data[at : at + _PIECE]
