"""Guard: one ASGI layer around everything that the server answers, sockets included.

- A browser that shows another site's page may not ask or change anything here: a request that
  changes something, and every socket, must come from our own pages (its Origin is its Host).
  Programs send no Origin and may.
- Pages may load nothing from elsewhere and run no script but ours (Content-Security-Policy), so a
  name from a file could not act even if it ever reached a page as markup.
- Only names of this computer are answered, and whoever may only look on changes nothing (Door).
- An address without a page is answered 404; the page itself still says so in words.
"""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from unspool.app.access import Door
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH

_SAFE = ("GET", "HEAD", "OPTIONS")
# Addresses that are answered by something other than a page; the rest is for `known` to judge.
_NOT_PAGES = ("/_dash", "/assets/", "/_reload-hash", "/_favicon", PIN_PATH)
# Where Dash asks for pages; no callback of ours changes anything.
_PAGE_POSTS = "/_dash-"
ANOTHER_SITE = "Only pages of this server may do that.\n"
NOT_THIS_COMPUTER = "unspool answers under its computer's own names and addresses only.\n"
LOOK_ONLY = "You may look on here. To change something, give the PIN at /pin first.\n"


class Guard:
    """policy is the Content-Security-Policy; known tells addresses that have a page."""

    def __init__(self, app: ASGIApp, policy: str, known: Callable[[str], bool], door: Door) -> None:
        self._app, self._policy, self._known, self._door = app, policy, known, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        may_change.set(self._door.lets_change(scope))
        why = self._why_not(scope, Headers(scope=scope))
        if why:
            await _refuse(why, scope, receive, send)
        elif scope["type"] == "websocket":
            await self._app(scope, receive, send)
        else:
            await self._app(scope, receive, self._dressed(scope, send))

    def _why_not(self, scope: Scope, headers: Headers) -> str:
        """Why this is refused; empty where it is not."""
        if not self._door.knows(headers.get("host")):
            return NOT_THIS_COMPUTER
        if _needs_home(scope) and not _from_home(headers):
            return ANOTHER_SITE
        if _changes(scope) and not may_change.get():
            return LOOK_ONLY
        return ""

    def _dressed(self, scope: Scope, send: Send) -> Send:
        async def dress(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers["content-security-policy"] = self._policy
                headers["x-content-type-options"] = "nosniff"
                headers["referrer-policy"] = "same-origin"
                if self._lost(scope, headers) and message["status"] == 200:
                    message["status"] = 404
            await send(message)

        return dress

    def _lost(self, scope: Scope, headers: MutableHeaders) -> bool:
        path = scope["path"]
        is_page = headers.get("content-type", "").startswith("text/html")
        return is_page and not path.startswith(_NOT_PAGES) and not self._known(path)


def policy(script_hashes: list[str]) -> str:
    """Plotly and React set style attributes, hence 'unsafe-inline' for styles alone."""
    return "; ".join(
        [
            "default-src 'self'",
            f"script-src 'self' {' '.join(script_hashes)}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        ]
    )


def _changes(scope: Scope) -> bool:
    if scope["type"] == "websocket" or scope["method"] in _SAFE:
        return False
    path = scope["path"]
    return path != PIN_PATH and not path.startswith(_PAGE_POSTS)


def _needs_home(scope: Scope) -> bool:
    return bool(scope["type"] == "websocket" or scope["method"] not in _SAFE)


def _from_home(headers: Headers) -> bool:
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host")


async def _refuse(why: str, scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        # A close before the accept is answered 403.
        await send({"type": "websocket.close", "code": 1008, "reason": why.strip()})
    else:
        refusal = PlainTextResponse(why, 403)
        await refusal(scope, receive, send)
