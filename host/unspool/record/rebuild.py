"""Finding the runs of a capture again, from its bytes alone."""

from __future__ import annotations

from unspool.record.listener import Listener
from unspool.record.seen import RunOver
from unspool.store import Store


def rebuild(
    store: Store,
    capture: int,
    car_text: str | None = None,
    track_text: str | None = None,
    edges_per_turn: int | None = None,
) -> list[str]:
    """Keeps every run of the capture and gives their ids, in order.

    A run that the store has keeps its id, its car and its track; one that it lacks, because the
    recorder was killed before it could save it, is added with the car and track given here.
    Raises InputError for an unknown capture, StoreError, and BoardError for another protocol.
    """
    listener = Listener(edges_per_turn, store.capture(capture).known)
    over = list(replay(listener, store, capture))
    over += [seen for seen in listener.finish() if isinstance(seen, RunOver)]
    return [store.save_found(capture, listener.found(run), car_text, track_text) for run in over]


def replay(listener: Listener, store: Store, capture: int) -> list[RunOver]:
    """Lets the listener hear the capture; the runs that ended in it."""
    over: list[RunOver] = []
    for chunk in store.chunks(capture):
        over += [seen for seen in listener.hear(chunk) if isinstance(seen, RunOver)]
    return over
