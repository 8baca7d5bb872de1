"""Files that are dropped on a page: edge files and bundles."""

from __future__ import annotations

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.permissions import asker
from unspool.app.refusals import NOT_IMPORTED, or_refused
from unspool.app.request_body import IMPORT
from unspool.imports import EdgeFileOf, import_file
from unspool.language import _
from unspool.render.words.imports import imported_words
from unspool.store import Store

LONGEST_NAME = 120


def serve_imports(server: FastAPI, store: Store) -> None:
    """Adds the address that takes a file as its body. The guard keeps guests from it.

    The query says the file's `name`. For an edge file it says the `car` that ran, and perhaps the
    `track`: names that the store knows.
    """

    @server.post(IMPORT)
    async def add(request: Request) -> Response:
        data, asked = await request.body(), request.query_params
        name = "".join(c for c in asked.get("name", "") if c.isprintable())[:LONGEST_NAME]
        car, track, who = asked.get("car", ""), asked.get("track", ""), asker()

        def keep() -> Response:
            known = _known(store, car, track) if car else None
            kept = import_file(store, data, name or _("the file"), known, who)
            runs = [{"run": one.run_id, "already_there": one.already_there} for one in kept]
            text = imported_words([(one.run_id, one.already_there) for one in kept])
            return JSONResponse({"text": text, "runs": runs})

        return await or_refused(keep, NOT_IMPORTED)


def _known(store: Store, car: str, track: str) -> EdgeFileOf:
    car_text = store.cars.one(car).current.text
    return EdgeFileOf(car_text, store.tracks.one(track).current.text if track else None)
