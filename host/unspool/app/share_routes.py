"""The addresses that begin and end the sharing: for the computer that runs unspool alone."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import FastAPI, Response
from fastapi.responses import PlainTextResponse

from unspool.app.refusals import or_refused
from unspool.app.sharing import Sharing
from unspool.language import _, later


def serve_sharing(server: FastAPI, sharing: Sharing) -> None:
    def add(path: str, act: Callable[[], None], said: str) -> None:
        async def answer() -> Response:
            return await or_refused(lambda: _done(act, said))

        server.add_api_route(path, answer, methods=["POST"])

    add("/share/begin", sharing.begin, later("Shared."))
    add("/share/end", sharing.end, later("Not shared any more."))


def _done(act: Callable[[], None], said: str) -> Response:
    act()
    return PlainTextResponse(_(said))
