"""Rights: the one table of who may do what, by route and by callback.

The guard asks this table alone. A route or a callback that is not in it is open to the computer
that runs unspool and to nobody else.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from starlette.routing import BaseRoute, Match
from starlette.types import Scope


class Right(StrEnum):
    """What somebody may do. Who owns may also judge and run a station."""

    LOOK = "look"
    JUDGE = "judge"
    STATION = "station"
    OWN = "own"
    HERE = "here"  # only at the computer that runs unspool, whatever the PIN


SAFE = ("GET", "HEAD", "OPTIONS")
SOCKET = "SOCKET"
_DESK = ("draft", "shape", "save", "choose", "put-away", "file")
_LOOK = (
    *("/_dash-component-suites/{package_name}/{fingerprinted_path:path}", "/_dash-layout"),
    *("/_dash-dependencies", "/_reload-hash", "/_favicon.ico", "/favicon.ico", "/save.js", "/"),
    *("/words/{code}.js", "{path:path}"),  # the last is Dash's, for all pages
    *("/attempts/{run_id}/reading.json", "/attempts/{run_id}/edges.csv", "/side-by-side.csv"),
    *("/losses.toml", "/next-winding/card.html", "/next-winding/card.pdf", "/next-winding/try"),
    *("/bundle.zip", "/edges.zip", "/motion.csv", "/motion.parquet", "/logbook/rows"),
    *("/cars:version", "/floors:version", "/worksheet/check", "/worksheet/paper.pdf"),
    "/contest/{contest}/sheets/{sheet}.{ending}",
    *("/track/choices", "/track/sensors/seen", "/track/firmware/seen", "/pin"),
)
_STATION = (
    *("/track/look", "/track/start", "/track/start-all", "/track/car", "/track/end"),
    *("/track/sensors", "/track/sensors/end", "/track/next-tier", "/track/last-tier"),
    "/track/firmware",
)
_OWN = (
    *("/losses/write", "/logbook/demo", "/import", "/attempts/{run_id}/correction"),
    *("/attempts/corrections", "/attempts/undo", "/attempts/{run_id}/undo", "/cars:roll-out"),
    *(f"/{things}:{act}" for things in ("cars", "floors") for act in _DESK),
    *("/floors:from-attempts", "/contest/new"),
)
# By method and path, as the routes of the app have them.
ROUTES: dict[tuple[str, str], Right] = {
    **{("GET", path): Right.LOOK for path in _LOOK},
    ("SOCKET", "/live/points"): Right.LOOK,
    ("SOCKET", "/contest/{contest}/live"): Right.LOOK,
    # It asks for a page's parts. CALLBACKS says for which.
    ("POST", "/_dash-update-component"): Right.LOOK,
    # Who gives a PIN has no right yet.
    ("POST", "/pin"): Right.LOOK,
    # To set a contest up, it takes OWN: contest_acts.py.
    ("POST", "/contest/{contest}/say"): Right.JUDGE,
    **{("POST", path): Right.STATION for path in _STATION},
    **{("POST", path): Right.OWN for path in _OWN},
    ("POST", "/share/begin"): Right.HERE,
    ("POST", "/share/end"): Right.HERE,
    # No page of ours opens it.
    ("SOCKET", "/_dash-ws-callback"): Right.HERE,
}
_FILES = "/assets"
# By the outputs that a browser asks for.
CALLBACKS: dict[str, Right] = {
    "..main.children...places.children...title.data...tick.disabled..": Right.LOOK,
    "address.href": Right.LOOK,
    "shown.data": Right.HERE,  # the browser makes it by itself
}


def right_for(scope: Scope, routes: Iterable[BaseRoute]) -> Right:
    """The right that a request or a socket takes. An address without a route is a page's."""
    method = scope["method"] if scope["type"] == "http" else SOCKET
    for route in routes:
        path = getattr(route, "path", "")
        match, _ = route.matches(scope)
        if match is Match.FULL:
            files = path == _FILES and method in SAFE
            return Right.LOOK if files else ROUTES.get((method, path), Right.HERE)
    return Right.LOOK if method in SAFE else Right.HERE


def right_for_callback(outputs: str) -> Right:
    return CALLBACKS.get(outputs, Right.HERE)
