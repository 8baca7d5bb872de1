"""What builders note of their runs, written from a run's page."""

from __future__ import annotations

import asyncio

from fastapi import FastAPI, Request, Response
from fastapi.responses import PlainTextResponse

from unspool.app.request_body import little_of
from unspool.errors import InputError, UnspoolError
from unspool.store import LONGEST_NOTE, Store

LONGEST_BYTES = 4 * LONGEST_NOTE  # in UTF-8


def take_notes(server: FastAPI, store: Store) -> None:
    """Adds the address to which a run's page sends its note; the guard keeps guests from it."""

    @server.post("/runs/{run_id}/note")
    async def note(run_id: str, request: Request) -> Response:
        body = await little_of(request, LONGEST_BYTES)
        if body is None:
            return PlainTextResponse(
                f"Not saved: a note has at most {LONGEST_NOTE} characters.", 413
            )
        try:
            text = body.decode("utf-8", "replace").strip()
            await asyncio.to_thread(store.write_note, run_id, text)
        except InputError as error:
            return PlainTextResponse(f"Not saved: {error}.", 404)
        except UnspoolError as error:
            return PlainTextResponse(f"Not saved: {error}.", 500)
        return PlainTextResponse("Saved." if text else "Saved: no note any more.")
