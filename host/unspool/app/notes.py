"""The builder's notes, written on a run's page."""

from __future__ import annotations

from fastapi import FastAPI, Request, Response
from fastapi.responses import PlainTextResponse

from unspool.app.permissions import asker
from unspool.app.workers import in_worker
from unspool.corrections import correct
from unspool.errors import InputError, UnspoolError
from unspool.said_faults import LONGEST_NOTE
from unspool.store import Field, Store

LONGEST_BYTES = 4 * LONGEST_NOTE  # in UTF-8


def serve_notes(server: FastAPI, store: Store) -> None:
    """Adds the address to which a run's page sends its note. The guard keeps guests from it."""

    @server.post("/attempts/{run_id}/note")
    async def note(run_id: str, request: Request) -> Response:
        body = await request.body()
        if len(body) > LONGEST_BYTES:
            return PlainTextResponse(
                f"Not saved: a note has at most {LONGEST_NOTE} characters.", 413
            )
        try:
            who = asker()
            text = body.decode("utf-8", "replace").strip()
            await in_worker(lambda: correct(store, run_id, {Field.NOTE: text}, who))
        except InputError as error:
            return PlainTextResponse(f"Not saved: {error}.", 404)
        except UnspoolError as error:
            return PlainTextResponse(f"Not saved: {error}.", 500)
        return PlainTextResponse("Saved." if text else "Saved: no note any more.")
