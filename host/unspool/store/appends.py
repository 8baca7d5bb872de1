"""Appends: chunks of several recorders, made safe together.

A disk that syncs takes milliseconds, however little is written. So one transaction takes all that
waits, and no recorder waits for each of the others in turn. Nobody is answered before the disk has
what was his.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from threading import Lock

from sqlalchemy import Connection, insert, select, update

from unspool.errors import CaptureTakenError
from unspool.language import Phrase
from unspool.store import schema
from unspool.store.rows import Origin

_US = 1_000_000
_OF = schema.captures.c


@dataclass
class Append:
    """A chunk for the end of a capture, by the session that may write there.

    again: whether an earlier try got no answer. It may have been kept, and is not kept twice.
    """

    capture: int
    session: int
    arrived_s: float
    data: bytes
    origin: Origin
    stray_bytes: int
    again: bool = False
    done: bool = False
    failed: Exception | None = field(default=None, repr=False)


class Appends:
    """Safe from several threads; `write` opens a transaction."""

    def __init__(self, write: Callable[[], AbstractContextManager[Connection]]) -> None:
        self._write = write
        self._turn, self._lock = Lock(), Lock()
        self._waiting: list[Append] = []

    def __call__(self, mine: Append) -> None:
        """Returns when it is safe from a killed process and a power cut.

        Raises StoreError, and CaptureTakenError if another session goes on with the capture;
        nothing of it is written then.
        """
        with self._lock:
            self._waiting.append(mine)
        with self._turn:
            if not mine.done:
                with self._lock:
                    batch, self._waiting = self._waiting, []
                self._store(batch, mine)
        if mine.failed is not None:
            raise mine.failed

    def _store(self, batch: Sequence[Append], mine: Append) -> None:
        """What fails for all is each one's failure: it may try again."""
        try:
            with self._write() as connection:
                for one in batch:
                    _append(connection, one)
        except Exception as error:  # of any kind: every thread that waits must hear of it
            for one in batch:
                one.failed = error
        except BaseException:  # this thread is interrupted, and the others are not
            with self._lock:
                self._waiting[:0] = [one for one in batch if one is not mine]
            raise
        for one in batch:
            one.done = True


def _append(connection: Connection, one: Append) -> None:
    cells = {
        "capture_id": one.capture,
        "session": one.session,
        "arrived_us": round(one.arrived_s * _US),
        "origin": one.origin,
        "data": one.data,
    }
    if one.again and _is_kept(connection, cells):
        return
    more = {"stray_bytes": _OF.stray_bytes + one.stray_bytes}
    its_own = (_OF.id == one.capture, _OF.sessions == one.session)
    if connection.execute(update(schema.captures).where(*its_own).values(more)).rowcount == 0:
        one.failed = taken(one.capture)
        return
    connection.execute(insert(schema.chunks).values(cells))


def _is_kept(connection: Connection, cells: Mapping[str, object]) -> bool:
    same = [schema.chunks.c[name] == value for name, value in cells.items()]
    return connection.execute(select(schema.chunks.c.id).where(*same)).first() is not None


def taken(capture: int) -> CaptureTakenError:
    return CaptureTakenError(
        Phrase(
            "another recorder goes on with the board of capture {capture}, and has every edge that"
            " this one acknowledged; see there, or end it and start this one again",
            capture=capture,
        )
    )
