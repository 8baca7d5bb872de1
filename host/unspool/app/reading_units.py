"""The units that a browser reads in: kept in a cookie, and set around each answer for people.

Files keep SI, and so does what forms send.
"""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from unspool.render.words.reading_units import ReadingUnits, choose

COOKIE = "unspool_units"  # set by assets/units.js
FILES = (".json", ".csv", ".toml", ".parquet", ".zip", ".unspool")


class ReadingUnitsOfBrowser:
    """An ASGI layer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] in ("http", "websocket"):
            choose(ReadingUnits.METRIC if _is_file(scope["path"]) else chosen(scope))
        await self._app(scope, receive, send)


def chosen(scope: Scope) -> ReadingUnits:
    """Metric unless the cookie says something else that we know."""
    try:
        cookie = SimpleCookie(Headers(scope=scope).get("cookie", ""))
    except CookieError:
        return ReadingUnits.METRIC
    given = cookie[COOKIE].value if COOKIE in cookie else ""
    return ReadingUnits(given) if given in list(ReadingUnits) else ReadingUnits.METRIC


def _is_file(path: str) -> bool:
    return path.endswith(FILES)
