"""Caching: a file whose address has its hash or version is kept by the browser for a year."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

KEEP = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"
_HASHED = ("/assets/", "/words/", "/save.js")
_COMPONENTS = "/_dash-component-suites/"


class Caching:
    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_with_header(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if message["status"] == 200 and _is_kept(scope, headers):
                    headers["cache-control"] = KEEP
                elif "cache-control" not in headers:
                    headers["cache-control"] = ASK_AGAIN
            await send(message)

        await self._app(scope, receive, send_with_header)


def _is_kept(scope: Scope, headers: MutableHeaders) -> bool:
    path = scope["path"]
    if path.startswith(_HASHED):
        return bool(scope["query_string"])
    # Dash itself says so of those of its files that have a version in their name.
    return path.startswith(_COMPONENTS) and "max-age" in headers.get("cache-control", "")
