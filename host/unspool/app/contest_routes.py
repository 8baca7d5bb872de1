"""The addresses of a contest: what its pages send, its sheets, and its socket.

The guard keeps those who only look on from all that changes.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from fastapi import FastAPI, Request, Response, WebSocket
from fastapi.responses import JSONResponse

from unspool.app.contest_acts import act, make
from unspool.app.contest_hub import ContestHub
from unspool.app.contest_runs import ContestRuns
from unspool.app.contest_socket import contest_socket
from unspool.app.downloads import attachment, or_error
from unspool.app.recordings import Recordings
from unspool.app.sent import Sent, answered
from unspool.app.workers import in_worker
from unspool.contest import Contest
from unspool.errors import InputError
from unspool.judging import events_in
from unspool.language import _
from unspool.render.contest import Sheet, attempt_sheet, entry_list, log_sheet, results, sheet_csv

NEW = "/contest/new"
LONGEST_BYTES = 100_000  # a list of all the cars of a contest


def serve_contests(server: FastAPI, hub: ContestHub, recordings: Recordings) -> None:
    @server.post(NEW)
    async def new(request: Request) -> Response:
        return await _answer(request, partial(make, hub))

    @server.post("/contest/{contest}/say")
    async def say(contest: str, request: Request) -> Response:
        return await _answer(request, partial(act, hub, contest))

    @server.get("/contest/{contest}/sheets/{sheet}.{ending}")
    async def sheet(contest: str, sheet: str, ending: str) -> Response:
        return await or_error(lambda: _sheet(hub, contest, sheet, ending))

    @server.websocket("/contest/{contest}/live")
    async def live(contest: str, socket: WebSocket) -> None:
        await contest_socket(hub, contest, socket)

    runs = ContestRuns(hub)
    recordings.on_run(runs.recorded)
    hub.on_look(runs.look)


async def _answer(request: Request, do: Callable[[Sent], Sent]) -> Response:
    body = await request.body()
    return await in_worker(lambda: _done(do, body))


def _done(do: Callable[[Sent], Sent], body: bytes) -> Response:
    said, status = answered(do, body, LONGEST_BYTES)
    return JSONResponse(said, 409 if "seen" in said else status)


def _sheet(hub: ContestHub, contest: str, sheet: str, ending: str) -> Response:
    from unspool.render.contest.pdf import certificates_pdf, sheet_pdf  # its library takes a moment

    state = hub.state(contest)
    name = f"unspool-contest-{contest}-{sheet}.{ending}"
    if (sheet, ending) == ("certificates", "pdf"):
        return attachment(certificates_pdf(state), name, "application/pdf")
    makers: dict[str, Callable[[Contest], Sheet]] = {
        "entries": entry_list,
        "attempts": attempt_sheet,
        "results": results,
        "log": lambda one: log_sheet(one, events_in(hub.store, contest)),
    }
    if sheet not in makers or ending not in ("pdf", "csv"):
        raise InputError(_("there is no such sheet"))
    made = makers[sheet](state)
    if ending == "csv":
        return attachment("\ufeff" + sheet_csv(made), name, "text/csv")
    return attachment(sheet_pdf(made), name, "application/pdf")
