"""The cookies that a browser sends."""

from __future__ import annotations

from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers
from starlette.types import Scope


def cookie_of(scope: Scope, name: str) -> str:
    """Its value; "" if it is not there, or what was sent is no cookie."""
    try:
        cookie = SimpleCookie(Headers(scope=scope).get("cookie", ""))
    except CookieError:
        return ""
    return cookie[name].value if name in cookie else ""
