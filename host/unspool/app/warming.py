"""Warming up: the server asks for its first page before anybody else can."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from fastapi import FastAPI


@asynccontextmanager
async def warmed(server: FastAPI) -> AsyncIterator[None]:
    """Dash sets itself up at the first request to one of its own addresses.

    If that were an attempt's address, its answer would have no callbacks and no styles.
    """

    async def send(_answer: Any) -> None:
        return

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": "/",
        "query_string": b"",
        "headers": [(b"host", b"127.0.0.1")],
    }
    await server(scope, receive, send)
    yield
