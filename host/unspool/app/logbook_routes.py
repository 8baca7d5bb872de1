"""Addresses of the Logbook's page: its rows, and the demo's attempts for who has none yet."""

from __future__ import annotations

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse, PlainTextResponse

from unspool.app.downloads import or_error
from unspool.app.line_maker import LineMaker
from unspool.app.logbook import logbook_json
from unspool.app.refusals import NOT_LOADED, or_refused
from unspool.language import _
from unspool.store import Store

ROWS, DEMO = "/logbook/rows", "/logbook/demo"


def serve_logbook(server: FastAPI, store: Store, maker: LineMaker) -> None:
    """Adds the addresses. The guard keeps guests from the one that changes the store."""

    @server.get(ROWS)
    async def rows(request: Request) -> Response:
        after, first = (_number(request, name) for name in ("after", "first"))
        return await or_error(lambda: JSONResponse(logbook_json(store, maker, after, first)))

    @server.post(DEMO)
    async def demo() -> Response:
        return await or_refused(lambda: _add_demo(store), NOT_LOADED)


def _number(request: Request, name: str) -> int | None:
    """What the address says; None if that is no number."""
    text = request.query_params.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _add_demo(store: Store) -> Response:
    from unspool.virtual.demo import add_earlier_runs  # takes a moment to load, and few need it

    add_earlier_runs(store)
    return PlainTextResponse(_("Loaded: invented attempts of two invented cars."))
