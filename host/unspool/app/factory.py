"""create_app: the app, with its pages, socket and files, around a store and perhaps a live run.

Our own routes choose the page. Dash's page registry is global to the process, so it knows neither
our 404 nor two apps side by side.
"""

from __future__ import annotations

import logging
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ClientsideFunction, Dash, Input, Output, ctx, no_update
from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from unspool.app.access import Access
from unspool.app.access_routes import serve_access
from unspool.app.caching import Caching
from unspool.app.contest_routes import serve_contests
from unspool.app.corrections import serve_corrections
from unspool.app.desk_routes import serve_desks
from unspool.app.downloads import serve_mark, serve_run_files, serve_script, serve_study_files
from unspool.app.exports import serve_exports
from unspool.app.floor_estimate import serve_floor_estimates
from unspool.app.forms import serve_forms
from unspool.app.guard import Guard, policy
from unspool.app.imports import serve_imports
from unspool.app.line_maker import LineMaker
from unspool.app.live_boards import LiveBoards
from unspool.app.logbook_routes import serve_logbook
from unspool.app.losses_writing import serve_losses
from unspool.app.own_files import ASSETS, content_hash
from unspool.app.pages.not_found import error_page
from unspool.app.pages.page import Page
from unspool.app.pages.share import PATH as SHARE
from unspool.app.pages.share import share_page
from unspool.app.pages.who import PATH as WHO
from unspool.app.pages.who import who_page
from unspool.app.pin import serve_pin_page
from unspool.app.reader import Reader
from unspool.app.rolling import serve_rolling
from unspool.app.routes import page_for, there_is
from unspool.app.run_cache import RunCache
from unspool.app.script_words import serve_words
from unspool.app.share_routes import serve_sharing
from unspool.app.sharing import Sharing
from unspool.app.shell import INDEX, in_reader_language, links, scripts, shell, styles
from unspool.app.studies import Studies
from unspool.app.trackside import Trackside
from unspool.app.trackside_routes import serve_trackside
from unspool.app.trials import serve_trials
from unspool.app.warming import warmed
from unspool.app.workers import in_worker
from unspool.app.worksheets import serve_worksheets
from unspool.kept.lines import Lines
from unspool.language import _, later
from unspool.render.html.saving import save_script
from unspool.store import Store

if TYPE_CHECKING:
    from unspool.kept.readings import Analyse

OUR_FAULT = later(
    "unspool made a mistake on this page. Nothing that was recorded is lost. The terminal in which"
    " unspool runs says more: please add that to a bug report."
)
SAVE = "/save.js"
# The drawing library packs as well at this level as at the highest, in a third of the time.
PACKING = 6


def create_app(
    store: Store,
    lives: LiveBoards | None = None,
    analyse: Analyse | None = None,
    sharing: Sharing | None = None,
    trackside: Trackside | None = None,
) -> Dash:
    """The app; its `server` is the ASGI app to serve. The caller keeps the store open.

    lives: the boards that are being recorded, None if there is none. They get the readings of
    their runs.
    analyse: reads runs in place of unspool's own, which keeps the readings in the store.
    sharing: who else may look on. Without it only this computer is answered.
    trackside: what Track starts and ends, around the same boards. The caller closes it.
    """
    sharing, trackside = sharing or Sharing(Access()), trackside or Trackside.of(store, lives)
    lives = trackside.lives
    server = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=warmed)
    dash = _dash(server)
    dash.layout = lambda: shell(lives.banner())
    studies = Studies(RunCache(store, analyse))
    _serve_pages(dash, studies, lives, sharing)
    serve_forms(dash)
    serve_run_files(server, studies.runs)
    serve_study_files(server, studies)
    serve_trials(server, studies)
    serve_losses(server, store, studies)
    serve_exports(server, store, studies.runs)
    lines = Lines(store, analyse)
    serve_logbook(server, store, LineMaker(lines, lives.any_runs))
    serve_imports(server, store)
    serve_corrections(server, store)
    serve_desks(server, store, studies.drafts)
    serve_rolling(server, store)
    serve_floor_estimates(server, store, studies)
    serve_worksheets(server, store)
    serve_contests(server, studies.contests, trackside.recordings)
    serve_script(server, SAVE, save_script())
    serve_words(server)
    serve_mark(server)
    lives.use_readings(studies.runs.reading, store.attempt)
    serve_trackside(server, trackside)
    _serve_rights(server, store, sharing)
    _add_layers(server, policy(list(dash.csp_hashes())), store, sharing.access)
    return dash


def _serve_rights(server: FastAPI, store: Store, sharing: Sharing) -> None:
    sharing.access.use_kept(store.pins.listed)
    serve_sharing(server, sharing)
    serve_access(server, store, sharing.access)
    serve_pin_page(server, sharing.access)


def _add_layers(server: FastAPI, csp: str, store: Store, access: Access) -> None:
    server.add_middleware(GZipMiddleware, compresslevel=PACKING)
    server.add_middleware(Caching)
    # The guard stands around all that answers.
    server.add_middleware(
        Guard,
        policy=csp,
        is_page=partial(there_is, store),
        access=access,
        routes=lambda: server.routes,
    )
    server.add_middleware(Reader)  # only sets how the reader reads, for the guard's refusals too


class _Pages(Dash):
    """Dash makes one page that holds all others; each reader gets it in the own language."""

    # Dash does not type this; it always passes the parts by name.
    def interpolate_index(self, **parts: Any) -> str:  # type: ignore[override]
        page = super().interpolate_index(**parts)  # type: ignore[no-untyped-call]
        return in_reader_language(page)


def _dash(server: FastAPI) -> Dash:
    save = f"{SAVE}?{content_hash(save_script().encode())}"
    dash = _Pages(
        "unspool",
        server=server,  # type: ignore[arg-type]  # Dash accepts it, but its signature does not
        assets_folder=str(ASSETS),
        include_assets_files=False,  # own_files.py names them in their order
        title="unspool",
        update_title="",
        external_stylesheets=styles(),
        external_scripts=[*scripts(), save],
        index_string=INDEX,
    )
    # Its own socket would stay open without a use: no callback of ours needs one.
    dash.backend.websocket_capability = False
    return dash


def _serve_pages(dash: Dash, studies: Studies, lives: LiveBoards, sharing: Sharing) -> None:
    @dash.callback(
        Output("main", "children"),
        Output("places", "children"),
        Output("title", "data"),
        Output("tick", "disabled"),
        Input("address", "pathname"),
        Input("address", "search"),
        Input("tick", "n_intervals"),
        Input("again", "data"),
    )
    async def show(
        path: str | None, search: str | None, _ticks: int | None, _again: int | None
    ) -> tuple[Any, ...]:
        # A plain function would hold up the event loop, and with it every live page.
        page = await in_worker(lambda: _page(path or "/", search or "", studies, lives, sharing))
        if ctx.triggered_id == "again" or (page.pending and ctx.triggered_id == "tick"):
            return page.body, no_update, no_update, no_update
        return page.body, links(page.place), f"{page.title} - unspool", not page.pending

    dash.clientside_callback(  # type: ignore[no-untyped-call]  # untyped in Dash
        ClientsideFunction("unspool", "arrive"), Output("shown", "data"), Input("title", "data")
    )


def _page(path: str, search: str, studies: Studies, lives: LiveBoards, sharing: Sharing) -> Page:
    """The page. It is never blank: it says if we made a mistake, and the log says which."""
    try:
        if path.rstrip("/") == SHARE:
            return share_page(sharing)
        if path.rstrip("/") == WHO:
            return who_page(sharing.access)
        return page_for(path, search, studies, lives)
    except Exception:
        logging.getLogger(__name__).exception("the page at %s could not be made", path)
        return error_page(_(OUR_FAULT))
