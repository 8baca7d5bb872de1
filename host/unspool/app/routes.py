"""Which page an address shows."""

from __future__ import annotations

import re
from collections.abc import Callable
from urllib.parse import parse_qs

from unspool.app.live_state import LiveHub
from unspool.app.pages.compare import compare_page
from unspool.app.pages.live import live_page
from unspool.app.pages.losses import losses_page
from unspool.app.pages.not_found import lost_page, no_run_page, trouble_page
from unspool.app.pages.page import Page
from unspool.app.pages.plan import plan_page
from unspool.app.pages.run import run_page, unread_page
from unspool.app.pages.runs import runs_page
from unspool.app.query import Asked, asked
from unspool.app.run_cache import Shelf
from unspool.app.studies import Studies
from unspool.errors import InputError, UnspoolError

_RUN = re.compile(r"/runs/([^/]{1,64})")
_STUDIES: dict[str, Callable[[Asked, Studies], Page]] = {
    "/compare": compare_page,
    "/losses": losses_page,
    "/plan": plan_page,
}
# Answered by downloads.py, in a browser's window.
_SHEETS = ("/plan/card.html",)


def known(path: str) -> bool:
    """Whether an address leads to a page of ours; which runs there are is the page's own matter."""
    path = path.rstrip("/") or "/"
    return path in ("/", "/runs", *_STUDIES, *_SHEETS) or _RUN.fullmatch(path) is not None


def page_for(
    path: str, search: str, shelf: Shelf, hub: LiveHub | None, studies: Studies | None = None
) -> Page:
    """The page at `path`; its search part chooses within it. Never raises UnspoolError."""
    path = path.rstrip("/") or "/"
    try:
        if path == "/":
            return live_page(hub)
        if path == "/runs":
            return runs_page(shelf, _page_number(search))
        if path in _STUDIES:
            return _STUDIES[path](asked(search), studies or Studies(shelf))
        if run := _RUN.fullmatch(path):
            return _one_run(run[1], shelf)
    except UnspoolError as error:
        return trouble_page(str(error))
    return lost_page(path)


def _one_run(run_id: str, shelf: Shelf) -> Page:
    try:
        run = shelf.stored(run_id)
    except InputError:
        return no_run_page(run_id)
    try:
        return run_page(shelf.tell(run))
    except UnspoolError as error:
        return unread_page(run, str(error))


def _page_number(search: str) -> int:
    """1 for anything that is no page number."""
    asked = parse_qs(search.removeprefix("?")).get("page", ["1"])[0]
    return max(int(asked), 1) if re.fullmatch(r"[0-9]{1,6}", asked) else 1
