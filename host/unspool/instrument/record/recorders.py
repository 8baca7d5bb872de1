"""Recorders: any number of boards at once, each over a link of its own, on a thread of its own.

Each fails alone. New ones join while others run.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from threading import Lock

from unspool.errors import InputError
from unspool.instrument.link import Link
from unspool.instrument.record.claims import Claims
from unspool.instrument.record.notices import Observer
from unspool.instrument.record.recorder import ContextOf, Recorder
from unspool.instrument.record.run_context import RunContext
from unspool.language import Phrase
from unspool.store import Store

Ended = Callable[[Exception | None], object]  # called with what ended it, None if it was stopped


class Recorders:
    """Safe from several threads. One board is never recorded twice: its number decides."""

    def __init__(self, store: Store) -> None:
        self._store, self._claims = store, Claims()
        self._lock = Lock()
        self._at_work: dict[Recorder, Link] = {}

    @property
    def links(self) -> list[str]:
        """The names of the links that are in use."""
        with self._lock:
            return [link.spec for link in self._at_work.values()]

    def start(
        self,
        link: Link,
        context: RunContext | ContextOf,
        observers: Sequence[Observer],
        ended: Ended,
    ) -> Recorder:
        """One more. Raises InputError if the link is in use.

        ended: called on the recording thread, once the recorder has let go of the link.
        """
        recorder = Recorder(link, self._store, context, observers, self._claims)
        with self._lock:
            if link.spec in {one.spec for one in self._at_work.values()}:
                raise InputError(
                    Phrase("{place} is being recorded already; end that first", place=link.place)
                )
            self._at_work[recorder] = link
        recorder.start(lambda failed: self._end(recorder, failed, ended))
        return recorder

    def stop(self) -> None:
        """Asks all of them to end; each saves a run that is under way."""
        with self._lock:
            at_work = list(self._at_work)
        for recorder in at_work:
            recorder.stop()

    def _end(self, recorder: Recorder, failed: Exception | None, ended: Ended) -> None:
        with self._lock:
            del self._at_work[recorder]
        ended(failed)
