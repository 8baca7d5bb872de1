"""Finding the runs of a capture again, from its bytes alone."""

from __future__ import annotations

from unspool.instrument.record.listener import Listener
from unspool.instrument.record.run_context import Subject
from unspool.instrument.record.run_events import RunOver
from unspool.store import Store


def rebuild(store: Store, capture: int, subject: Subject | None = None) -> list[str]:
    """Keeps every run of the capture and gives their ids, in order.

    A run that the store has keeps its id, its car and its track; one that it lacks, because the
    recorder was killed before it could save it, is added with the subject's car and track.
    Raises InputError for an unknown capture, StoreError, and BoardError for another protocol.
    """
    subject = subject or Subject()
    listener = Listener(subject, store.capture(capture).known)
    over = list(replay(listener, store, capture))
    over += [seen for seen in listener.finish() if isinstance(seen, RunOver)]
    return [
        store.save_found(capture, listener.found(run), subject.car_text, subject.track_text)
        for run in over
    ]


def replay(listener: Listener, store: Store, capture: int) -> list[RunOver]:
    """Lets the listener hear the capture; the runs that ended in it."""
    over: list[RunOver] = []
    for chunk in store.chunks(capture):
        over += [seen for seen in listener.hear(chunk) if isinstance(seen, RunOver)]
    return over
