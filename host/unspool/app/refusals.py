"""What an address answers if it could not do what a page asked: why, and by its status whose fault.

409: the one who asks can mend it. 500: the store or the computer failed.
"""

from __future__ import annotations

from collections.abc import Callable

from fastapi import Response
from fastapi.responses import PlainTextResponse

from unspool.app.attempt_names import fault_words
from unspool.app.workers import in_worker
from unspool.errors import InputError, UnspoolError
from unspool.language import _, later
from unspool.render.words.values import as_sentence
from unspool.store import Store

NOT_SAVED = later("Not saved: {why}")
NOT_DONE = later("Not done: {why}")
NOT_WRITTEN = later("Not written: {why}")
NOT_IMPORTED = later("Not imported: {why}")
NOT_LOADED = later("Not loaded: {why}")
OWN_WORDS = "{why}"  # the error says it all


async def or_refused(
    make: Callable[[], Response], said: str = OWN_WORDS, store: Store | None = None
) -> Response:
    """What `make` returns, made in a worker. said: as in `refused`."""
    try:
        return await in_worker(make)
    except UnspoolError as error:
        return refused(error, said, store)


def refused(
    error: UnspoolError, said: str = OWN_WORDS, store: Store | None = None
) -> PlainTextResponse:
    """said: one of the messages above. store: whose attempts it calls by their names."""
    text = str(error) if said == OWN_WORDS else _(said, why=error)
    status = 409 if isinstance(error, InputError) else 500
    return PlainTextResponse(as_sentence(fault_words(text, store) if store else text), status)
