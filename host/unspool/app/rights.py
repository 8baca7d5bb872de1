"""Rights: the one table of who may do what, by route and by callback.

The guard asks this table alone, and the page "Who may do what" is made of it. A route or a callback
that is not in it is open to the computer that runs unspool and to nobody else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from starlette.routing import BaseRoute, Match
from starlette.types import Scope

from unspool.language import later


class Right(StrEnum):
    """What somebody may do. Who owns may also judge and run a station."""

    LOOK = "look"
    JUDGE = "judge"
    STATION = "station"
    OWN = "own"
    HERE = "here"  # only at the computer that runs unspool, whatever the PIN


class Part(StrEnum):
    """What takes a right of its own at an address that is open to more people."""

    SET_UP = "set a contest up"
    KEY = "see the key of a worksheet"


@dataclass(frozen=True)
class Act:
    """What people do, and where browsers ask for it. words: "" for what no person asks for.

    gets, posts and sockets are paths as the routes of the app have them, callbacks the outputs that
    a browser asks for.
    """

    right: Right
    words: str
    gets: tuple[str, ...] = ()
    posts: tuple[str, ...] = ()
    sockets: tuple[str, ...] = ()
    callbacks: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()


SAFE = ("GET", "HEAD", "OPTIONS")
SOCKET = "SOCKET"
_DESK = ("draft", "shape", "save", "choose", "put-away", "file")
ACTS = (
    Act(
        Right.LOOK,
        later("See every page, and follow every car and every contest as it goes."),
        gets=(
            *("/", "{path:path}"),  # Dash adds the second, for all pages, as the server starts
            *("/logbook/rows", "/track/choices", "/track/sensors/seen", "/track/firmware/seen"),
        ),
        sockets=("/live/points", "/contest/{contest}/live"),
        # it asks for a page's parts, and the callbacks say which
        posts=("/_dash-update-component",),
        callbacks=(
            "..main.children...places.children...title.data...tick.disabled..",
            "address.href",
        ),
    ),
    Act(
        Right.LOOK,
        later("Try out windings, and fill a worksheet in."),
        gets=(
            *("/next-winding/try", "/next-winding/card.html", "/next-winding/card.pdf"),
            *("/worksheet/check", "/worksheet/paper.pdf"),
        ),
    ),
    Act(
        Right.LOOK,
        later("Save attempts, tables, and the sheets of cars and contests as files."),
        gets=(
            *("/attempts/{run_id}/reading.json", "/attempts/{run_id}/edges.csv", "/bundle.zip"),
            *("/side-by-side.csv", "/losses.toml", "/edges.zip", "/motion.csv", "/motion.parquet"),
            *("/cars:version", "/floors:version", "/contest/{contest}/sheets/{sheet}.{ending}"),
        ),
    ),
    Act(Right.LOOK, later("Give a PIN."), gets=("/pin",), posts=("/pin",)),
    Act(
        Right.LOOK,
        "",
        gets=(
            "/_dash-component-suites/{package_name}/{fingerprinted_path:path}",
            *("/_dash-layout", "/_dash-dependencies", "/_reload-hash", "/_favicon.ico"),
            *("/favicon.ico", "/save.js", "/words/{code}.js"),
        ),
    ),
    Act(
        Right.JUDGE,
        later("Call attempts of a contest, measure them, note penalties, and take a note back."),
        posts=("/contest/{contest}/say",),
    ),
    Act(
        Right.STATION,
        later("Look for boards, and start and end their recordings."),
        posts=("/track/look", "/track/start", "/track/start-all", "/track/end"),
    ),
    Act(
        Right.STATION,
        later("Choose a board's car, and mark the tiers as they are wound."),
        posts=("/track/car", "/track/next-tier", "/track/last-tier"),
    ),
    Act(
        Right.STATION,
        later("Check a board's sensors, and put firmware on it."),
        posts=("/track/sensors", "/track/sensors/end", "/track/firmware"),
    ),
    Act(
        Right.OWN,
        later("Correct attempts, and take that back."),
        posts=(
            *("/attempts/{run_id}/correction", "/attempts/corrections"),
            *("/attempts/undo", "/attempts/{run_id}/undo"),
        ),
    ),
    Act(
        Right.OWN,
        later("Bring attempts in from files, or those of the demo."),
        posts=("/import", "/logbook/demo"),
    ),
    Act(
        Right.OWN,
        later("Make cars and floors, change them, and put them away."),
        posts=(
            *(f"/{things}:{act}" for things in ("cars", "floors") for act in _DESK),
            *("/floors:from-attempts", "/cars:roll-out", "/losses/write"),
        ),
    ),
    Act(
        Right.OWN,
        later("Make a contest and set it up: rules, cars, order, and its close."),
        posts=("/contest/new",),
        parts=(Part.SET_UP,),
    ),
    Act(Right.OWN, later("See the key of a worksheet."), parts=(Part.KEY,)),
    Act(
        Right.HERE,
        later("Begin and end the sharing."),
        posts=("/share/begin", "/share/end"),
    ),
    Act(
        Right.HERE,
        later("Give people PINs that stay, and take them away."),
        posts=("/access/give", "/access/take-away"),
    ),
    # no page of ours opens the socket, and the browser makes the data by itself
    Act(Right.HERE, "", sockets=("/_dash-ws-callback",), callbacks=("shown.data",)),
)
# By method and path.
ROUTES = {
    (method, path): act.right
    for act in ACTS
    for method, paths in (("GET", act.gets), ("POST", act.posts), (SOCKET, act.sockets))
    for path in paths
}
CALLBACKS = {outputs: act.right for act in ACTS for outputs in act.callbacks}
PARTS = {part: act.right for act in ACTS for part in act.parts}
_FILES = "/assets"


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
