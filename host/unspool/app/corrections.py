"""Corrections that a run's page sends."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import PlainTextResponse

from unspool.app.permissions import asker
from unspool.app.workers import in_worker
from unspool.corrections import correct
from unspool.errors import InputError, UnspoolError
from unspool.store import Field, Said, Store

LONGEST_BYTES = 20_000  # 50 tiers with names of 80 characters


@dataclass(frozen=True)
class _Sent:
    """What the form was filled in with, and the revision of the run that it was made for."""

    changes: dict[Field, Said]
    seen: int


def serve_corrections(server: FastAPI, store: Store) -> None:
    """Adds the address to which a run's page sends it. The guard keeps guests from it."""

    @server.post("/runs/{run_id}/correction")
    async def correction(run_id: str, request: Request) -> Response:
        body = await request.body()
        try:
            sent, who = _sent(body), asker()
            await in_worker(lambda: correct(store, run_id, sent.changes, who, sent.seen))
        except InputError as error:
            return PlainTextResponse(f"Not saved: {error}.", 409)
        except UnspoolError as error:
            return PlainTextResponse(f"Not saved: {error}.", 500)
        return PlainTextResponse("Saved.")


def _sent(body: bytes) -> _Sent:
    """Raises InputError for what no form of ours sends, or what is no number."""
    try:
        raw: Any = json.loads(body if len(body) <= LONGEST_BYTES else b"null")
        seen, fields = raw["seen"], dict(raw["fields"])
    except (ValueError, TypeError, KeyError, RecursionError):
        raise InputError("that is no correction that a page of unspool sends") from None
    changes: dict[Field, Said] = {}
    if "taped_m" in fields:
        text = fields.pop("taped_m")
        changes[Field.TAPED_M] = None if text == "" else _number("the taped distance", text)
    if fields:
        changes[Field.TURNS] = tuple(
            (tier.removeprefix("turns:"), _number(f"the {tier.replace(':', ' on ', 1)}", text))
            for tier, text in fields.items()
        )
    return _Sent(changes, seen if type(seen) is int else -1)


def _number(what: str, text: Any) -> float:
    try:
        return float(text)
    except (ValueError, TypeError, OverflowError):
        found = f'"{str(text)[:20]}"' if text != "" else "nothing"
        raise InputError(f"{what[:80]}: found {found}, expected a number") from None
