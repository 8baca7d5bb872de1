"""The addresses that give and take away PINs: for the computer that runs unspool alone."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.access import Access
from unspool.app.permissions import asker
from unspool.app.workers import in_pin_worker
from unspool.errors import InputError, UnspoolError
from unspool.language import _
from unspool.pins import give, take_away
from unspool.render.words.values import as_sentence
from unspool.store import Store

GIVE, TAKE_AWAY = "/access/give", "/access/take-away"
LONGEST_BYTES = 2_000
Sent = dict[str, str]


def serve_access(server: FastAPI, store: Store, access: Access) -> None:
    def add(path: str, act: Callable[[Store, Sent], Sent]) -> None:
        async def answer(request: Request) -> Response:
            body = await request.body()
            said, status = await in_pin_worker(partial(_done, act, store, body))
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


def _done(act: Callable[[Store, Sent], Sent], store: Store, body: bytes) -> tuple[Sent, int]:
    try:
        return act(store, _sent(body)), 200
    except InputError as error:
        return {"text": as_sentence(str(error))}, 409
    except UnspoolError as error:
        return {"text": as_sentence(str(error))}, 500


def _sent(body: bytes) -> Sent:
    """Texts by name. Raises InputError for anything else."""
    try:
        sent = json.loads(body) if len(body) <= LONGEST_BYTES else None
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict) or not all(isinstance(one, str) for one in sent.values()):
        raise InputError(_("that is nothing that a page of unspool sends"))
    return sent
