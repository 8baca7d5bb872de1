"""The addresses that give and take away PINs: for the computer that runs unspool alone."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.access import Access
from unspool.app.permissions import asker
from unspool.app.sent import Sent, answered
from unspool.app.workers import in_pin_worker
from unspool.language import _
from unspool.pins import give, take_away
from unspool.store import Store

GIVE, TAKE_AWAY = "/access/give", "/access/take-away"
LONGEST_BYTES = 2_000


def serve_access(server: FastAPI, store: Store, access: Access) -> None:
    def add(path: str, act: Callable[[Store, Sent], Sent]) -> None:
        async def answer(request: Request) -> Response:
            body = await request.body()
            said, status = await in_pin_worker(
                partial(answered, partial(act, store), body, LONGEST_BYTES)
            )
            access.kept.changed()
            return JSONResponse(said, status, headers={"cache-control": "no-store"})

        server.add_api_route(path, answer, methods=["POST"])

    add(GIVE, _give)
    add(TAKE_AWAY, _take_away)


def _give(store: Store, sent: Sent) -> Sent:
    """`pin` is shown this once."""
    pin = give(store, sent.get("name", ""), sent.get("role", ""), asker())
    return {"text": _("Write it down now: nobody can read it again."), "pin": pin}


def _take_away(store: Store, sent: Sent) -> Sent:
    take_away(store, sent.get("name", ""))
    return {"text": _("Taken away.")}
