"""Corrections that pages send, of one run or of several at once."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse, PlainTextResponse

from unspool.app.permissions import asker
from unspool.app.refusals import NOT_SAVED, or_refused
from unspool.corrections import Correcting, correct_each
from unspool.errors import InputError
from unspool.language import _
from unspool.render.words.corrections import fault_words_of
from unspool.store import Store
from unspool.typed_corrections import typed_changes

Changed = dict[str, int] | None

LONGEST_BYTES = 60_000  # 50 tiers with names of 80 characters, or some thousand runs
MOST_RUNS = 2_000


def serve_corrections(server: FastAPI, store: Store) -> None:
    """Adds the addresses to which pages send them. The guard keeps guests from them.

    The body is JSON: `fields` as `typed_changes` takes them, none to undo the last change. For one
    run `seen` is the revision that the page showed, null for any. For several, `runs` has these by
    the runs' ids; then all of them are corrected, or none. The answer has the new revisions of
    those that changed, with which `/attempts/undo` takes it back.
    """

    @server.post("/attempts/{run_id}/correction")
    async def correction(run_id: str, request: Request) -> Response:
        body = await request.body()
        return await _saved(store, lambda: _one(store, run_id, _with_fields(body), asker()))

    @server.post("/attempts/corrections")
    async def corrections(request: Request) -> Response:
        body = await request.body()
        return await _saved(store, lambda: _several(store, _with_fields(body), asker()))

    @server.post("/attempts/undo")
    async def undo_several(request: Request) -> Response:
        body = await request.body()
        return await _saved(store, lambda: store.undo_each(_revisions(_parsed(body)), asker()))

    @server.post("/attempts/{run_id}/undo")
    async def undo(run_id: str, request: Request) -> Response:
        body = await request.body()
        return await _saved(store, lambda: _undone(store, run_id, _parsed(body), asker()))


async def _saved(store: Store, save: Callable[[], Changed]) -> Response:
    """What `save` returns is the new revisions of several runs, as JSON."""

    def answer() -> Response:
        changed = _in_words(save)
        if changed is None:
            return PlainTextResponse(_("Saved."))
        return JSONResponse({"changed": changed})

    return await or_refused(answer, NOT_SAVED, store)


def _in_words(save: Callable[[], Changed]) -> Changed:
    """Raises InputError that calls the fields as the page does."""
    try:
        return save()
    except InputError as error:
        raise InputError(fault_words_of(error.faults)) if error.faults else error from error


def _one(store: Store, run_id: str, sent: dict[str, Any], who: str) -> None:
    correct_each(store, [_correcting(store, run_id, sent, sent.get("seen", -1))], who)


def _undone(store: Store, run_id: str, sent: dict[str, Any], who: str) -> None:
    store.undo_correction(run_id, who, _seen(sent.get("seen", -1)))


def _several(store: Store, sent: dict[str, Any], who: str) -> dict[str, int]:
    runs = _runs(sent)
    given = [_correcting(store, run, sent, seen) for run, seen in runs.items()]
    return correct_each(store, given, who)


def _runs(sent: dict[str, Any]) -> dict[str, Any]:
    runs = sent.get("runs")
    if not isinstance(runs, dict) or not 0 < len(runs) <= MOST_RUNS:
        raise _no_correction()
    return runs


def _revisions(sent: dict[str, Any]) -> dict[str, int | None]:
    return {run: seen if type(seen) is int else -1 for run, seen in _runs(sent).items()}


def _seen(sent: object) -> int | None:
    """The revision that the page showed, None for any; -1, which no run has, if it sent none."""
    return sent if sent is None or type(sent) is int else -1


def _correcting(store: Store, run_id: str, sent: dict[str, Any], seen: object) -> Correcting:
    """Raises InputError for what no form of ours sends, or what is no number."""
    run = store.run(run_id)
    changes = typed_changes(store, run, sent["fields"])
    known = _seen(seen)
    return Correcting(run, changes, run.revision if known is None else known)


def _parsed(body: bytes) -> dict[str, Any]:
    try:
        sent = json.loads(body if len(body) <= LONGEST_BYTES else b"null")
    except (ValueError, RecursionError):
        raise _no_correction() from None
    if not isinstance(sent, dict):
        raise _no_correction()
    return sent


def _with_fields(body: bytes) -> dict[str, Any]:
    sent = _parsed(body)
    if not isinstance(sent.get("fields"), dict):
        raise _no_correction()
    return sent


def _no_correction() -> InputError:
    return InputError(_("that is no correction that a page of unspool sends"))
