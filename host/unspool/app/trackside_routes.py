"""The addresses through which Track's buttons act. The guard keeps guests from all that change."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from fastapi import FastAPI, Request, Response, WebSocket
from fastapi.responses import JSONResponse, PlainTextResponse

from unspool.app.live_boards import LiveBoards
from unspool.app.live_socket import live_socket
from unspool.app.live_state import LiveState
from unspool.app.refusals import or_refused
from unspool.app.trackside import Trackside
from unspool.app.workers import in_worker
from unspool.errors import InputError
from unspool.language import _, many

LONGEST_BYTES = 4_000
MOST_SAMPLES = 9_999_999


def serve_trackside(server: FastAPI, trackside: Trackside) -> None:
    lives = trackside.lives

    @server.websocket("/live/points")
    async def points(socket: WebSocket) -> None:
        await live_socket(lives, socket)

    @server.get("/track/choices")
    async def choices() -> Response:
        return JSONResponse(await in_worker(trackside.choices))

    @server.get("/track/sensors/seen")
    async def sensors(have: int = 0) -> Response:
        since = min(max(have, 0), MOST_SAMPLES)
        return JSONResponse(await in_worker(lambda: trackside.sensors.json(since)))

    @server.get("/track/firmware/seen")
    async def firmware() -> Response:
        return JSONResponse(await in_worker(trackside.flashing.json))

    def add(path: str, act: Callable[[dict[str, str]], str]) -> None:
        async def answer(request: Request) -> Response:
            body = await request.body()
            return await or_refused(lambda: PlainTextResponse(act(_sent(body))))

        server.add_api_route(path, answer, methods=["POST"])

    add("/track/look", lambda _sent: _look(trackside))
    add("/track/start", lambda sent: _start(trackside, sent))
    add("/track/start-all", lambda _sent: _start_all(trackside))
    add("/track/car", lambda sent: _change_car(trackside, sent))
    add("/track/end", lambda sent: _end(trackside, sent))
    add("/track/sensors", lambda sent: _check(trackside, sent))
    add("/track/sensors/end", lambda _sent: _end_check(trackside))
    add("/track/firmware", lambda sent: _flash(trackside, sent))
    add("/track/next-tier", lambda sent: _mark(lives, sent))
    add("/track/last-tier", lambda sent: _unmark(lives, sent))


def _sent(body: bytes) -> dict[str, str]:
    """What a form sent: texts by name. Raises InputError for anything else."""
    try:
        sent: Any = json.loads(body[:LONGEST_BYTES]) if body else {}
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict) or not all(isinstance(one, str) for one in sent.values()):
        raise InputError(_("that is nothing that a page of unspool sends"))
    return sent


def _look(trackside: Trackside) -> str:
    trackside.boards.look_by_radio()
    return _("Looking for radio boards; that takes some seconds.")


def _start(trackside: Trackside, sent: dict[str, str]) -> str:
    trackside.start(sent.get("car", ""), sent.get("floor", ""), sent.get("board", ""))
    return _("Recording.")


def _start_all(trackside: Trackside) -> str:
    count = trackside.start_all()
    return many("Recording {count} board more.", "Recording {count} boards more.", count)


def _change_car(trackside: Trackside, sent: dict[str, str]) -> str:
    car = sent.get("car", "")
    name = trackside.change_car(sent.get("recorded", ""), car, sent.get("floor", ""))
    return _("{board} is recorded with {car}.", board=name, car=car)


def _end(trackside: Trackside, sent: dict[str, str]) -> str:
    trackside.recordings.one(sent.get("recorded", "")).stop()
    return _("The recording ends.")


def _mark(lives: LiveBoards, sent: dict[str, str]) -> str:
    tier = _live(lives, sent).mark_tier()
    return _("Marked: from here on you wind tier {tier}.", tier=tier)


def _unmark(lives: LiveBoards, sent: dict[str, str]) -> str:
    tier = _live(lives, sent).mark_tier(undo=True)
    return _("Taken back: you wind tier {tier} again.", tier=tier)


def _live(lives: LiveBoards, sent: dict[str, str]) -> LiveState:
    """The board that the page shows; without a word of it, the only one. Raises InputError."""
    key = sent.get("recorded", "")
    live = lives.find(key) if key else lives.only
    if live is None:
        raise InputError(_("nothing here is being recorded"))
    return live


def _check(trackside: Trackside, sent: dict[str, str]) -> str:
    trackside.check(sent.get("car", ""), sent.get("board", ""))
    return _("Turn the driven wheel by hand, about ten turns, and let it stand.")


def _flash(trackside: Trackside, sent: dict[str, str]) -> str:
    trackside.flash(sent.get("board", ""), sent.get("kind", ""), sent.get("lose") == "yes")
    return _("Leave the cable in until it is done.")


def _end_check(trackside: Trackside) -> str:
    trackside.sensors.end()
    return _("The check ends.")
