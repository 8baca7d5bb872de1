"""How a browser reads: its units and its language, set around each answer for people.

Both are kept in cookies by assets/settings.js. A browser without a cookie gets metric units, and
the first of its own languages that there is. Files keep SI and English; so does what forms send.
"""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from unspool.app.cookies import cookie_of
from unspool.language import ENGLISH, LANGUAGES, choose_language
from unspool.render.words.reading_units import ReadingUnits, choose

UNITS = "unspool_units"
LANGUAGE = "unspool_language"
FILES = (".json", ".csv", ".toml", ".parquet", ".zip", ".unspool")


class Reader:
    """An ASGI layer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] in ("http", "websocket"):
            is_file = scope["path"].endswith(FILES)
            choose(ReadingUnits.METRIC if is_file else units_of(scope))
            choose_language(ENGLISH if is_file else language_of(scope))
        await self._app(scope, receive, send)


def units_of(scope: Scope) -> ReadingUnits:
    """Metric unless the cookie says something else that we know."""
    given = cookie_of(scope, UNITS)
    return ReadingUnits(given) if given in list(ReadingUnits) else ReadingUnits.METRIC


def language_of(scope: Scope) -> str:
    """The cookie's, or else the browser's most wanted one that there is, or else English."""
    given = cookie_of(scope, LANGUAGE)
    if given in LANGUAGES:
        return given
    wanted = _wanted(Headers(scope=scope).get("accept-language", ""))
    return next((code for code in wanted if code in LANGUAGES), ENGLISH)


def _wanted(header: str) -> list[str]:
    """The languages of Accept-Language without their countries, most wanted first (RFC 9110)."""
    ranked = [_ranked(part) for part in header.split(",")]
    return [code for _rank, code in sorted(ranked, key=lambda one: -one[0])]


def _ranked(part: str) -> tuple[float, str]:
    tag, _semicolon, weight = part.partition(";")
    code = tag.strip().lower().split("-")[0]
    try:
        return float(weight.strip().removeprefix("q=") or 1.0), code
    except ValueError:
        return 0.0, code
