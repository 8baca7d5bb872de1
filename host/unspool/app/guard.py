"""Guard: one ASGI layer around everything that the server answers, sockets included.

- A page of another site may not change anything here. A request that changes something, and every
  socket, must come from our own pages: its Origin is its Host. Programs send no Origin and may.
- Pages load nothing from elsewhere and run no script except ours (Content-Security-Policy). So a
  name from a file could do no harm even if it reached a page as markup.
- Only names of this computer are answered. Each request takes the right that rights.py names.
- An address without a page is answered with 404. The page says so in words.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.routing import BaseRoute
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from unspool.app.access import Access
from unspool.app.permissions import client, holds, may_change, pin_name, rights, whose_pin
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rate import Rate
from unspool.app.request_body import MALFORMED, BodyRefusedError, Held, whole_body
from unspool.app.rights import SAFE, Right, right_for
from unspool.app.workers import in_pin_worker, in_worker
from unspool.language import _, later

# Addresses that are answered by something other than a page. The others are looked up in is_page.
_NOT_PAGES = ("/_dash", "/assets/", "/_reload-hash", "/_favicon", PIN_PATH)
# Where Dash asks for pages.
_PAGE_POSTS = "/_dash-"
ANOTHER_SITE = later("Only pages of this server may do that.")
NOT_THIS_COMPUTER = later("unspool answers under its computer's own names and addresses only.")
TOO_MANY = later("That was too much at once; wait some seconds.")
ONLY_HERE = later("That is for the computer that runs unspool alone.")
LOOK_ONLY = later("You may look on here. To change something, give the PIN at /pin first.")


class Guard:
    """policy is the Content-Security-Policy. is_page says whether a path has a page.

    routes: those of the app at present.
    """

    def __init__(
        self,
        app: ASGIApp,
        policy: str,
        is_page: Callable[[str], bool],
        access: Access,
        routes: Callable[[], Sequence[BaseRoute]],
    ) -> None:
        self._routes = routes
        self._app, self._policy, self._is_page, self._access = app, policy, is_page, access
        self._rate = Rate()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        await self._know(scope)
        refusal = self._refusal(scope, Headers(scope=scope))
        if refusal:
            await _refuse(refusal, 403, scope, receive, send)
        elif not rights.get() and not self._rate.allows(client.get()):
            await _refuse(TOO_MANY, 429, scope, receive, send)
        elif scope["type"] == "websocket":
            await self._app(scope, receive, send)
        else:
            await self._answer(scope, receive, self._with_headers(scope, send))

    async def _know(self, scope: Scope) -> None:
        """Who asks, and what they may do."""
        session = self._access.session(scope)
        if session and session.kept and not self._access.kept.is_fresh:
            await in_pin_worker(self._access.kept.now)
            session = self._access.session(scope)
        rights.set(self._access.rights(scope))
        whose_pin.set(session.whose if session else "")
        pin_name.set(session.kept.name if session and session.kept else "")
        may_change.set(Right.OWN in rights.get())
        client.set(scope["client"][0] if scope.get("client") else "")

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        """A request whose body is too large, too slow or not what our pages send is refused."""
        try:
            if scope["method"] not in SAFE:
                receive = await whole_body(scope, receive)
        except BodyRefusedError as error:
            await _refuse(str(error), error.status, scope, receive, send)
            return
        if not scope["path"].startswith(_PAGE_POSTS):
            await self._app(scope, receive, send)
            return
        answer = Held(send)
        try:
            await self._app(scope, receive, answer)
        except Exception:  # our callbacks raise nothing, so the request is not one of our pages'
            await _refuse(MALFORMED, 400, scope, receive, send)
        else:
            await answer.release(f"{_(MALFORMED)}\n")

    def _refusal(self, scope: Scope, headers: Headers) -> str:
        """Why the request is refused, in English; empty if it is not."""
        if not self._access.is_own_name(headers.get("host")):
            return NOT_THIS_COMPUTER
        if _needs_same_origin(scope) and not _has_same_origin(headers):
            return ANOTHER_SITE
        right = right_for(scope, self._routes())
        if holds(right):
            return ""
        return ONLY_HERE if right is Right.HERE else LOOK_ONLY

    def _with_headers(self, scope: Scope, send: Send) -> Send:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers["content-security-policy"] = self._policy
                headers["x-content-type-options"] = "nosniff"
                headers["referrer-policy"] = "same-origin"
                if message["status"] == 200 and await self._not_found(scope, headers):
                    message["status"] = 404
            await send(message)

        return send_with_headers

    async def _not_found(self, scope: Scope, headers: MutableHeaders) -> bool:
        """Asked in a worker: a store on a server may take its time."""
        path = scope["path"]
        is_html = headers.get("content-type", "").startswith("text/html")
        if not is_html or path.startswith(_NOT_PAGES):
            return False
        return not await in_worker(lambda: self._is_page(path))


def policy(script_hashes: list[str]) -> str:
    """Plotly and React set style attributes, hence 'unsafe-inline' for styles alone."""
    return "; ".join(
        [
            "default-src 'self'",
            f"script-src 'self' {' '.join(script_hashes)}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "media-src 'self' blob:",  # a video beside an attempt, from the reader's own disk
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        ]
    )


def _needs_same_origin(scope: Scope) -> bool:
    return bool(scope["type"] == "websocket" or scope["method"] not in SAFE)


def _has_same_origin(headers: Headers) -> bool:
    origin = headers.get("origin")
    if origin is None:
        return True
    try:
        return urlsplit(origin).netloc == headers.get("host")
    except ValueError:  # such as "http://["
        return False


async def _refuse(why: str, status: int, scope: Scope, receive: Receive, send: Send) -> None:
    """why: a message, in English."""
    if scope["type"] == "websocket":
        # A close before the accept is answered with 403.
        await send({"type": "websocket.close", "code": 1008, "reason": _(why)})
    else:
        refusal = PlainTextResponse(f"{_(why)}\n", status)
        await refusal(scope, receive, send)
