"""Every page in another language: no word on it that no catalogue holds."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from app_parts import LINK_UP, edges, filled_store, make_live_state, read_sample
from catalogues.pseudo import CODE, marked_messages, unmarked
from chromium import chromium
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.places import PLACES
from unspool.app.reader import LANGUAGE
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.judging import Judge, Organiser

pytestmark = pytest.mark.browser

# What people and files named, and our own name.
NAMES = (
    *("Sandpiper", "Dunlin", "Curlew", "Corridor cup", "Reed", "Ada"),
    *("start", "run", "front", "rear", "run.csv", "unspool", "PDF", "CSV"),
)
SHEETS = (
    *("attempts/1", "attempts/1/summary", "side-by-side?run=1&run=2&by=car", "worksheet"),
    *("cars/Sandpiper", "next-winding/sizes"),
)
OTHERS = ("share", "contest", "contest/1", "contest/1/judge", "contest/1/board", "nowhere")


@pytest.fixture(scope="module")
def live() -> LiveState:
    return make_live_state()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, live: LiveState) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("store")
    with marked_messages(), filled_store(folder, ("Sandpiper", "Dunlin")) as store:
        made = Organiser.make(store, "Ada", "Corridor cup", "")
        made.enter("Reed", "Sandpiper")
        Judge(store, made.id, "Ada").call_next(0)
        app = create_app(store, LiveBoards([live]), read_sample)
        with PageServer(app, port=0) as server:
            yield server.address


@pytest.fixture(scope="module")
def browser(address: str) -> Iterator[BrowserContext]:
    with chromium() as context:
        context.add_cookies([{"name": LANGUAGE, "value": CODE, "url": address}])
        yield context


def _opened(page: Page, address: str) -> Page:
    page.goto(address)
    expect(page.locator("main h1, main .phase").first).to_be_visible(timeout=20_000)
    expect(page.locator(".pending")).to_have_count(0, timeout=60_000)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    page.wait_for_timeout(500)
    return page


@pytest.mark.parametrize("path", [*(p.href[1:] for p in PLACES[1:]), *SHEETS, *OTHERS])
def test_a_page_has_no_word_without_a_catalogue(
    browser: BrowserContext, address: str, path: str
) -> None:
    page = browser.pages[0]
    assert unmarked(_opened(page, address + path), NAMES) == []


def test_track_has_none_while_a_car_runs(
    browser: BrowserContext, address: str, live: LiveState
) -> None:
    live(LINK_UP)
    live(PhaseChanged(Phase.RUNNING, 9.0))
    live(edges("run", 0, 500))
    assert unmarked(_opened(browser.pages[0], address), NAMES) == []
