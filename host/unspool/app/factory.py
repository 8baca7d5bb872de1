"""build: the app with its pages, socket and downloads around a store and, perhaps, a live run.

Pages are chosen by our own routes, not by Dash's page registry: that is global to the process and
knows neither our 404 nor two apps side by side.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import plotly
from dash import ClientsideFunction, Dash, Input, Output, ctx, dcc, html, no_update
from fastapi import FastAPI, Response, WebSocket
from fastapi.responses import PlainTextResponse

from unspool.app.access import Door
from unspool.app.downloads import offer_downloads, offer_script, offer_studies
from unspool.app.forms import follow_forms
from unspool.app.guard import Guard, policy
from unspool.app.live_socket import live_socket
from unspool.app.live_state import LiveHub
from unspool.app.notes import take_notes
from unspool.app.pages.components import extra
from unspool.app.pages.not_found import trouble_page
from unspool.app.pages.page import Page
from unspool.app.pin import ask_pins
from unspool.app.routes import known, page_for
from unspool.app.run_cache import ReadRun, Shelf
from unspool.app.studies import Studies
from unspool.errors import InputError
from unspool.reading.events import analyse
from unspool.render.html.saving import save_script
from unspool.store import Store

PLACES = (
    ("live", "Live", "/"),
    ("runs", "Runs", "/runs"),
    ("compare", "Compare", "/compare"),
    ("losses", "Losses", "/losses"),
    ("plan", "Plan", "/plan"),
)
TICK_MS = 500  # between two looks at work under way
OUR_FAULT = (
    "unspool made a mistake of its own on this page. Nothing recorded is lost; the terminal where"
    " unspool runs says more, which belongs in a bug report."
)
# From the installed package, over Dash's own address for it; the live page draws with it directly.
PLOTLY = f"/_dash-component-suites/plotly/package_data/plotly.min.js?v={plotly.__version__}"
SAVE = "/save.js"
INDEX = """<!DOCTYPE html>
<html lang="en">
<head>
{%metas%}
<meta name="theme-color" content="#14181d">
<title>{%title%}</title>
<link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
{%css%}
</head>
<body>
<noscript>unspool's pages are drawn by scripts: please allow them for this address.</noscript>
{%app_entry%}
<footer>{%config%}{%scripts%}{%renderer%}</footer>
</body>
</html>"""


def build(
    store: Store, live: LiveHub | None, read: ReadRun = analyse, door: Door | None = None
) -> Dash:
    """The app; its `server` is the ASGI app to serve. The caller keeps the store open.

    live, where a car is being recorded, is given the runs' readings; read makes them. door says who
    may change things; without it only this computer is answered.
    """
    door = door or Door()
    server = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=_warmed)
    dash = Dash(
        "unspool",
        server=server,  # type: ignore[arg-type]  # Dash takes it, its signature forgot it
        assets_folder=str(Path(__file__).parent / "assets"),
        title="unspool",
        update_title="",
        external_scripts=[PLOTLY, SAVE],
        index_string=INDEX,
    )
    # Its own socket would stay open without a use: no callback of ours needs one.
    dash.backend.websocket_capability = False
    dash.layout = _shell()
    shelf = Shelf(store, read)
    studies = Studies(shelf)
    _route(dash, studies, live)
    follow_forms(dash)
    offer_downloads(server, shelf)
    offer_studies(server, studies)
    take_notes(server, store)
    offer_script(server, SAVE, save_script())
    if live:
        live.read_with(shelf.reading)
        _open_socket(server, live)
    if door.shared:
        ask_pins(server, door)
    # Added last, so it stands around everything else.
    server.add_middleware(Guard, policy=policy(list(dash.csp_hashes())), known=known, door=door)
    return dash


def _shell() -> html.Div:
    return html.Div(
        [
            dcc.Location(id="address", refresh="callback-nav"),
            html.A("Skip to the content", href="#main", className="skip"),
            html.Header(
                [
                    dcc.Link("unspool", href="/", className="wordmark"),
                    html.Nav(_links(""), id="places", **extra(aria_label="Pages")),
                ],
                className="masthead",
            ),
            html.Main(html.P("Opening the page."), id="main", tabIndex="-1"),
            dcc.Store(id="title"),
            dcc.Store(id="shown"),
            dcc.Interval(id="tick", interval=TICK_MS, disabled=True),
        ]
    )


def _links(place: str) -> list[dcc.Link]:
    """dcc.Link takes no aria-current; the script that sets the title sets that too."""
    return [
        dcc.Link(text, href=href, className="here" if name == place else "")
        for name, text, href in PLACES
    ]


def _route(dash: Dash, studies: Studies, live: LiveHub | None) -> None:
    @dash.callback(
        Output("main", "children"),
        Output("places", "children"),
        Output("title", "data"),
        Output("tick", "disabled"),
        Input("address", "pathname"),
        Input("address", "search"),
        Input("tick", "n_intervals"),
    )
    async def show(path: str | None, search: str | None, _ticks: int | None) -> tuple[Any, ...]:
        # A plain function would hold up the event loop, and with it every live page.
        page = await asyncio.to_thread(_page, path or "/", search or "", studies, live)
        if page.pending and ctx.triggered_id == "tick":
            return page.body, no_update, no_update, no_update
        return page.body, _links(page.place), f"{page.title} - unspool", not page.pending

    dash.clientside_callback(  # type: ignore[no-untyped-call]  # untyped in Dash
        ClientsideFunction("unspool", "arrive"), Output("shown", "data"), Input("title", "data")
    )


def _page(path: str, search: str, studies: Studies, live: LiveHub | None) -> Page:
    """The page; a mistake of ours is said on the page and written to the log, never left blank."""
    try:
        return page_for(path, search, studies.shelf, live, studies)
    except Exception:
        logging.getLogger(__name__).exception("the page at %s could not be made", path)
        return trouble_page(OUR_FAULT)


def _open_socket(server: FastAPI, live: LiveHub) -> None:
    @server.websocket("/live/points")
    async def points(socket: WebSocket) -> None:
        await live_socket(live, socket)

    @server.post("/live/next-tier")
    async def next_tier() -> Response:
        try:
            return PlainTextResponse(f"Marked: what is wound from here on is {live.mark_tier()}.")
        except InputError as error:
            return PlainTextResponse(str(error), 409)


@asynccontextmanager
async def _warmed(server: FastAPI) -> AsyncIterator[None]:
    """Dash sets itself up at the first request to one of its own addresses.

    Asked for a run's address first, it would answer without callbacks or styles, so we ask before
    anybody can.
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
