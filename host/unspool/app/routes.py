"""Which page an address shows."""

from __future__ import annotations

import re
from collections.abc import Callable
from urllib.parse import unquote

from unspool.app.attempt_names import fault_words
from unspool.app.contest_hub import ContestHub
from unspool.app.desk import CARS, FLOORS, Desk
from unspool.app.live_boards import LiveBoards
from unspool.app.pages.attempt import attempt_page, unread_page
from unspool.app.pages.boards import PATH as BOARDS
from unspool.app.pages.boards import boards_page
from unspool.app.pages.cars import cars_page, new_page, one_page
from unspool.app.pages.contest_board import contest_board_page
from unspool.app.pages.contest_judge import judge_page
from unspool.app.pages.contests import PATH as CONTESTS
from unspool.app.pages.contests import contest_page, contests_page
from unspool.app.pages.correction_form import Correctable
from unspool.app.pages.logbook import logbook_page
from unspool.app.pages.losses import losses_page
from unspool.app.pages.next_winding import next_winding_page
from unspool.app.pages.not_found import error_page, no_run_page, not_found_page
from unspool.app.pages.page import Page
from unspool.app.pages.share import PATH as SHARE
from unspool.app.pages.side_by_side import side_by_side_page
from unspool.app.pages.sizes import sizes_page
from unspool.app.pages.sizes_form import PATH as SIZES
from unspool.app.pages.summary import summary_page
from unspool.app.pages.track import board_page, track_page
from unspool.app.pages.who import PATH as WHO
from unspool.app.pages.worksheet import PATH as WORKSHEET
from unspool.app.pages.worksheet import worksheet_page
from unspool.app.places import PLACES
from unspool.app.query import Query, language_of, parse_query
from unspool.app.run_cache import RunCache
from unspool.app.sheet_choices import car_choices, floor_choices, history_with_versions
from unspool.app.studies import Studies
from unspool.errors import InputError, UnspoolError
from unspool.language import in_language
from unspool.store import Store

_RUN = re.compile(r"/attempts/([^/]{1,64})")
_BOARD = re.compile(r"/track/([0-9a-f]{6,8})")
_CONTEST = re.compile(r"/contest/([0-9]{1,9})(?:/(judge|board))?")
_SUMMARY = re.compile(r"/attempts/([^/]{1,64})/summary")
_THING = re.compile(r"/(cars|floors)(?:/(.{1,400})|:new)", re.DOTALL)
_DESKS = {"cars": CARS, "floors": FLOORS}
_STUDIES: dict[str, Callable[[Query, Studies], Page]] = {
    "/side-by-side": side_by_side_page,
    "/losses": losses_page,
    "/next-winding": next_winding_page,
    SIZES: sizes_page,
}
# Answered by downloads.py, in a browser's window.
_SHEETS = ("/next-winding/card.html",)


def is_page(path: str) -> bool:
    """Whether a path leads to a page of ours. Any run may be asked for; its page says if it is."""
    path = path.rstrip("/") or "/"
    own = (SIZES, *_SHEETS, WORKSHEET, BOARDS, SHARE, WHO, CONTESTS)
    below = (_RUN, _SUMMARY, _THING, _BOARD, _CONTEST)
    known = (*(place.href for place in PLACES), *own)
    return path in known or any(page.fullmatch(path) for page in below)


def there_is(store: Store, path: str) -> bool:
    """Whether the page shows something: the run, car or floor of its path is in the store."""
    path = path.rstrip("/") or "/"
    try:
        if run := _RUN.fullmatch(path) or _SUMMARY.fullmatch(path):
            store.run(run[1])
        elif (thing := _THING.fullmatch(path)) and thing[2] is not None:
            (store.cars if thing[1] == "cars" else store.tracks).one(unquote(thing[2]))
    except InputError:
        return False
    except UnspoolError:
        return True  # the store cannot be asked now, and the page says so
    return is_page(path)


def page_for(path: str, search: str, studies: Studies, lives: LiveBoards) -> Page:
    """The page at `path`; its search part chooses within it. Never raises UnspoolError."""
    path = path.rstrip("/") or "/"
    query = parse_query(search)
    try:
        if path in ("/", BOARDS) or _BOARD.fullmatch(path):
            return _track(path, lives)
        if path == CONTESTS or _CONTEST.fullmatch(path):
            return _contest(path, query, studies.contests)
        if path == "/logbook":
            return logbook_page(studies.runs.store)
        if path == WORKSHEET:
            return worksheet_page(query, studies.runs.store)
        if path == "/cars":
            return cars_page(studies.runs.store)
        if thing := _THING.fullmatch(path):
            return _thing(_DESKS[thing[1]], thing[2], query, studies)
        if path in _STUDIES:
            return _STUDIES[path](query, studies)
        if run := _SUMMARY.fullmatch(path) or _RUN.fullmatch(path):
            return (_summary if _SUMMARY.fullmatch(path) else _one_run)(run[1], query, studies.runs)
    except UnspoolError as error:
        return error_page(fault_words(error, studies.runs.store))
    return not_found_page(path)


def _track(path: str, lives: LiveBoards) -> Page:
    if board := _BOARD.fullmatch(path):
        return board_page(lives, board[1])
    return track_page(lives) if path == "/" else boards_page(lives)


def _contest(path: str, query: Query, hub: ContestHub) -> Page:
    found = _CONTEST.fullmatch(path)
    if found is None:
        return contests_page(hub)
    if found[2] == "judge":
        return judge_page(hub, found[1], query)
    return contest_board_page(hub, found[1]) if found[2] else contest_page(hub, found[1], query)


def _thing(desk: Desk, name: str | None, query: Query, studies: Studies) -> Page:
    """name: as the browser's address has it; None for a new car or floor."""
    store, drafts = studies.runs.store, studies.drafts
    if name is None:
        return new_page(store, drafts, desk, query)
    return one_page(store, drafts, desk, unquote(name), query)


def _one_run(run_id: str, _query: Query, runs: RunCache) -> Page:
    try:
        run = runs.stored(run_id)
    except InputError:
        return no_run_page(run_id)
    correctable = Correctable(
        run,
        history_with_versions(runs.store, run_id),
        car_choices(runs.store, run.car_text),
        floor_choices(runs.store, run.track_text),
    )
    try:
        return attempt_page(runs.analysed(run_id), correctable, runs.name(run_id))
    except UnspoolError as error:
        return unread_page(correctable, fault_words(error, runs.store), runs.name(run_id))


def _summary(run_id: str, query: Query, runs: RunCache) -> Page:
    try:
        with in_language(language_of(query)):
            name = runs.name(run_id)
    except InputError:
        return no_run_page(run_id)
    return summary_page(runs.analysed(run_id), name, query)
