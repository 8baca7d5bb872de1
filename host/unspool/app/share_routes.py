"""The addresses that begin and end the sharing: for the computer that runs unspool alone."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import FastAPI, Response
from fastapi.responses import PlainTextResponse

from unspool.app.sharing import Sharing
from unspool.app.workers import in_worker
from unspool.errors import InputError
from unspool.language import _, later
from unspool.render.words.values import as_sentence


def serve_sharing(server: FastAPI, sharing: Sharing) -> None:
    def add(path: str, act: Callable[[], None], said: str) -> None:
        async def answer() -> Response:
            try:
                await in_worker(act)
            except InputError as error:
                return PlainTextResponse(as_sentence(str(error)), 409)
            return PlainTextResponse(_(said))

        server.add_api_route(path, answer, methods=["POST"])

    add("/share/begin", sharing.begin, later("Shared."))
    add("/share/end", sharing.end, later("Not shared any more."))
