"""The pages in a real browser: Debian's Chromium looks at the served app."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserContext, ConsoleMessage, Locator, Page, expect

from app_parts import LINK_UP, edges, filled_store, make_live_state, read_sample
from chromium import PHONE, chromium
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.places import PLACES
from unspool.instrument.record.notices import Phase, PhaseChanged, RunSaved
from unspool.store import Store

pytestmark = pytest.mark.browser

HOSTILE = '<img src=x onerror="window.hacked=1">'
FIRST = re.compile(r"^Sandpiper, [0-9]+ [A-Z][a-z]{2}( [0-9]{4})?, 1st$")
LEFT = "net::ERR_ABORTED"  # the page was left or closed while it still fetched
PLOT = "#track .plot"
DRAWN = f"document.querySelector('{PLOT}')?.data?.[1]?.x?.length ?? 0"
MISSING = "/attempts/99"
FAR = "/nowhere/at/all/with-a-very-long-address-" + "x" * 80
ADDRESSES = (*(place.href for place in PLACES), "/attempts/1", "/attempts/2", MISSING)


@dataclass
class ServedPages:
    """One server with its store and hub, and what the browser complained about."""

    store: Store
    live: LiveState
    server: PageServer
    complaints: list[str] = field(default_factory=list)

    def url(self, path: str) -> str:
        return self.server.address.rstrip("/") + path


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


@pytest.fixture
def served(tmp_path: Path) -> Iterator[ServedPages]:
    with filled_store(tmp_path, ("Sandpiper", HOSTILE)) as store:
        live = make_live_state()
        with PageServer(create_app(store, LiveBoards([live]), read_sample), port=0) as server:
            yield ServedPages(store, live, server)


Opener = Callable[..., Page]


def _is_complaint(message: ConsoleMessage, path: str) -> bool:
    """The browser itself reports that what is not there is answered with 404."""
    known = path in (MISSING, FAR) and "404" in message.text
    return message.type in ("error", "warning") and not known


@pytest.fixture
def open_page(browser: BrowserContext, served: ServedPages) -> Iterator[Opener]:
    """Opens an address; afterwards no page may have complained or asked anything elsewhere."""
    pages: list[Page] = []

    def open_(path: str, width: int = 1280, height: int = 800) -> Page:
        page = browser.new_page()
        pages.append(page)
        page.set_viewport_size({"width": width, "height": height})
        complain = served.complaints.append
        page.on("console", lambda m: _is_complaint(m, path) and complain(m.text))
        page.on("pageerror", lambda error: complain(str(error)))
        page.on("request", lambda r: _at_home(r.url, served) or complain(f"asked {r.url}"))
        page.on("requestfailed", lambda r: r.failure == LEFT or complain(f"failed {r.url}"))
        page.goto(served.url(path))
        expect(page.locator("h1")).to_have_count(1)
        return page

    yield open_
    for page in pages:
        page.close()
    assert served.complaints == []


def _at_home(url: str, served: ServedPages) -> bool:
    parts = urlsplit(url)
    return parts.scheme in ("data", "blob") or parts.port == served.server.port


def _headline(page: Page) -> Locator:
    return page.locator('[data-banner="headline"]')


def _draws(page: Page, count: int, patience_s: float = 15.0) -> None:
    """Waits until the picture holds `count` points. The pages forbid the waiting that evals."""
    give_up = time.monotonic() + patience_s
    while (drawn := page.evaluate(DRAWN)) != count:
        assert time.monotonic() < give_up, f"{drawn} points are drawn, not {count}"
        page.wait_for_timeout(20)


def _begin(live: LiveState) -> None:
    live(LINK_UP)
    live(PhaseChanged(Phase.RUNNING, 0.0))


def test_a_run_appears_while_it_happens(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/")
    expect(_headline(page)).to_have_text("No board")
    served.live(LINK_UP)
    served.live(PhaseChanged(Phase.WINDING, 6.25))
    expect(_headline(page)).to_have_text("Winding")
    expect(page.locator('[data-live="value-0"]')).to_have_text("2.75")
    served.live(PhaseChanged(Phase.RUNNING, 9.0))
    seen = []
    for start in range(0, 600, 150):
        served.live(edges("run", start, start + 150))
        _draws(page, start + 150)
        seen.append(page.locator('[data-live="value-0"]').inner_text())
    assert seen == sorted(seen, key=float)
    assert len(set(seen)) == 4
    expect(_headline(page)).to_have_text("Running")
    served.live(PhaseChanged(Phase.ENDED, 9.0))
    served.live(RunSaved("run", "1"))
    expect(_headline(page)).to_have_text("Attempt over")
    expect(page.locator(f"{PLOT} .annotation-text")).to_have_text(
        ["to\u00a0run", "release", "stop"]
    )
    page.get_by_role("link", name="See the attempt").click()
    expect(page.locator("h1")).to_have_text(FIRST)


def test_the_next_tier_is_marked_by_button_and_by_key(
    served: ServedPages, open_page: Opener
) -> None:
    marks: list[str] = []
    served.live.use_marks(lambda: marks.append("mark"))
    served.live(LINK_UP)
    page = open_page("/", 390, 844)
    button = page.get_by_role("button", name="Next tier")
    expect(button).to_be_hidden()
    served.live(PhaseChanged(Phase.WINDING, 2.0))
    expect(page.locator(".wound li").first).to_have_text("run2.00 of 5.50\u00a0turns")
    button.click()
    marked = page.locator('[data-live="marked"]')
    expect(marked).to_have_text("Marked: from here on you wind tier start.")
    served.live(PhaseChanged(Phase.WINDING, 2.5, (2.25, 0.25)))
    expect(page.locator('.wound li[data-now="true"]')).to_have_text("start0.25 of 3.50\u00a0turns")
    assert marks == ["mark"]
    served.live(PhaseChanged(Phase.WINDING, 2.0))
    page.keyboard.press("n")
    expect(marked).to_have_text("Marked: from here on you wind tier start.")
    _until(lambda: marks == ["mark", "mark"])
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    served.live(PhaseChanged(Phase.RUNNING, 2.0))
    expect(button).to_be_hidden()


def _until(done: Callable[[], bool]) -> None:
    give_up = time.monotonic() + 30
    while not done():
        assert time.monotonic() < give_up
        time.sleep(0.02)


def test_a_page_opened_in_the_middle_draws_the_run_from_its_start(
    served: ServedPages, open_page: Opener
) -> None:
    _begin(served.live)
    served.live(edges("run", 0, 300))
    page = open_page("/")
    _draws(page, 300)
    served.live(edges("run", 300, 310))
    _draws(page, 310)


def test_a_new_run_takes_the_place_of_the_old_one(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/")
    _begin(served.live)
    served.live(edges("one", 0, 200))
    _draws(page, 200)
    served.live(edges("two", 0, 5))
    _draws(page, 5)


def test_going_away_and_back_shows_the_run_again(served: ServedPages, open_page: Opener) -> None:
    _begin(served.live)
    served.live(edges("run", 0, 50))
    page = open_page("/")
    _draws(page, 50)
    page.get_by_role("link", name="Logbook", exact=True).click()
    expect(page.locator("h1")).to_have_text("Logbook")
    served.live(edges("run", 50, 80))
    page.get_by_role("link", name="Track", exact=True).click()
    _draws(page, 80)


def test_a_run_page_shows_the_reading(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/attempts/1")
    expect(page.locator(".run .js-plotly-plot")).to_have_count(6)
    expect(page.locator(".findings li")).to_contain_text("0.30 J of 3.50 J stayed in the weight")
    page.locator("summary", has_text="Events").click()
    expect(page.get_by_role("table", name="Events").get_by_role("row")).to_have_count(5)
    assert FIRST.match(page.title().removesuffix(" - unspool"))
    expect(page.locator("#places a[aria-current=page]")).to_have_text("Logbook")


def test_edges_are_downloaded_under_a_telling_name(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/attempts/1")
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Edges (CSV)").click()
    assert waiting.value.suggested_filename == "unspool-run-1.csv"
    assert waiting.value.path().read_text().count("\n") > 642


def test_a_name_from_a_file_is_never_markup(served: ServedPages, open_page: Opener) -> None:
    for path in ("/logbook", "/attempts/2"):
        page = open_page(path)
        expect(page.locator("main")).to_contain_text(HOSTILE)
        page.wait_for_timeout(300)
        assert page.evaluate("window.hacked") is None
        assert page.locator("main img[src=x]").count() == 0


FITS = "width => document.documentElement.scrollWidth <= width"


def test_every_page_has_its_landmarks_and_fits_a_phone(
    served: ServedPages, open_page: Opener
) -> None:
    _begin(served.live)
    served.live(edges("run", 0, 400))
    for path in (*ADDRESSES, FAR):
        page = open_page(path, *PHONE)
        assert page.evaluate("document.documentElement.lang") == "en"
        for role in ("main", "banner"):
            expect(page.get_by_role(role)).to_have_count(1)
        expect(page.get_by_role("navigation", name="Places")).to_have_count(1)
        for width in (390, 320):
            page.set_viewport_size({"width": width, "height": 780})
            page.wait_for_timeout(300)
            page.wait_for_function(FITS, arg=width, timeout=5000)


def test_the_figures_read_from_three_metres(served: ServedPages, open_page: Opener) -> None:
    """A digit is 0.73 of its type size high: 95 px on a phone of 68 mm across 390 px are 12 mm.

    At 3 m that is 14 minutes of arc; 5 is the limit of ordinary sight, so nearly three times it.
    A phone on its side, and a desk at twice the zoom, show less but cut nothing off.
    """
    _begin(served.live)
    served.live(edges("run", 0, 600))
    page = open_page("/")
    sizes = (
        (390, 844, 95),
        (360, 780, 90),
        (1280, 800, 110),
        (820, 1180, 120),
        (844, 390, 65),
        (640, 400, 50),
    )
    for width, height, least in sizes:
        page.set_viewport_size({"width": width, "height": height})
        for place in (0, 1):
            value = page.locator(f'[data-live="value-{place}"]')
            assert value.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= least
            assert value.evaluate("e => e.scrollWidth <= e.clientWidth"), f"cut off at {width} px"


def test_a_change_of_state_is_announced(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/")
    expect(page.get_by_role("status").first).to_contain_text("No board")
    assert page.locator('[data-live="value-0"]').get_attribute("role") is None


def test_the_list_is_walked_by_keyboard(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/logbook")
    expect(page.locator("[role=row] a").first).to_be_visible()
    places = [place.text for place in PLACES]
    search, head, row = "", "Ticked", ""
    walk = ["Skip to the content", "unspool", *places, search, "Filter and sort", "Tick all"]
    walk += [head, row]
    names = []
    for _ in walk:
        page.keyboard.press("Tab")
        page.wait_for_timeout(50)
        names.append(page.evaluate("document.activeElement.textContent.trim()"))
        ring = "getComputedStyle(document.activeElement).outlineStyle"
        assert page.evaluate(ring) == "solid"
    assert names == walk
    page.keyboard.press("ArrowDown")  # from the newest attempt to the one before it
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text(FIRST)
    expect(page.locator("#main")).to_be_focused()


def test_motion_is_still_for_who_asks_for_it(served: ServedPages, open_page: Opener) -> None:
    page = open_page("/")
    transition = "getComputedStyle(document.querySelector('.banner')).transitionDuration"
    assert page.evaluate(transition) == "0.15s"
    page.emulate_media(reduced_motion="reduce")
    assert page.evaluate(transition) == "0s"


def test_a_zoom_outlasts_new_points(served: ServedPages, open_page: Opener) -> None:
    _begin(served.live)
    served.live(edges("run", 0, 100))
    page = open_page("/")
    _draws(page, 100)
    zoom = f"Plotly.relayout(document.querySelector('{PLOT}'), {{'xaxis.range': [1, 3]}})"
    page.evaluate(f"{zoom}.then(() => null)")
    served.live(edges("run", 100, 200))
    _draws(page, 200)
    assert page.evaluate(f"document.querySelector('{PLOT}').layout.xaxis.range") == [1, 3]
