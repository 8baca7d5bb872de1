"""Finding the runs of a capture again, from its bytes alone."""

from __future__ import annotations

from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_events import RunOver
from unspool.store import Store


def rebuild(store: Store, capture: int, context: RunContext | None = None) -> list[str]:
    """Keeps every run of the capture and gives their ids, in order.

    A run that the store has keeps its id, its car and its track. A run that it lacks is added with
    the context's car and track: the recorder was killed before it could save it.
    Raises InputError for an unknown capture, and StoreError. A foreign board gives no run.
    """
    context = context or RunContext()
    row = store.capture(capture)
    reader = CaptureReader(context, row.known, row.key)
    over = list(replay(reader, store, capture))
    over += [seen for seen in reader.finish() if isinstance(seen, RunOver)]
    return [
        store.save_found(capture, reader.found(run), context.car_text, context.track_text)
        for run in over
    ]


def replay(reader: CaptureReader, store: Store, capture: int) -> list[RunOver]:
    """Lets the reader hear the capture; the runs that ended in it."""
    over: list[RunOver] = []
    for chunk in store.chunks(capture):
        over += [seen for seen in reader.feed(chunk) if isinstance(seen, RunOver)]
    return over
