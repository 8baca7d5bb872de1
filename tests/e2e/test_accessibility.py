"""Every page and state by axe (tests/axe), at the widths of phones, a tablet and a desk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from app_parts import LINK_DOWN, LINK_UP, edges, filled_store, make_live_state, read_sample
from chromium import chromium
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.places import PLACES
from unspool.car import FLAT
from unspool.instrument.record.notices import BoardSeen, Phase, PhaseChanged

pytestmark = pytest.mark.browser

AXE = (Path(__file__).parents[1] / "axe" / "axe.min.js").read_text()
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LOOKS = ((320, "light"), (390, "dark"), (820, "light"), (1280, "dark"))
RUN = """levels => axe.run({runOnly: levels}).then(found => found.violations.map(
  one => [one.id, one.nodes.map(node => node.target.join(" ")).slice(0, 4)]))"""
SMALL = """selector => [...document.querySelectorAll(selector)]
  .filter(one => one.checkVisibility())
  .map(one => [one.outerHTML.slice(0, 80), (one.closest("label") || one).getBoundingClientRect()])
  .filter(([_, box]) => box.height < 44).map(([words, box]) => [words, box.height])"""
PRESSED = "main :is(button, input, select, summary), #places a"
PATIENCE_MS, LOOK_MS = 5000, 50


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


@pytest.fixture(scope="module")
def live() -> LiveState:
    return make_live_state()


@pytest.fixture(scope="module")
def lives(live: LiveState) -> LiveBoards:
    return LiveBoards([live])


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, lives: LiveBoards) -> Iterator[str]:
    names = ("Sandpiper", "Dunlin")
    with (
        filled_store(tmp_path_factory.mktemp("store"), names) as store,
        PageServer(create_app(store, lives, read_sample), port=0) as server,
    ):
        yield server.address


def look(page: Page) -> None:
    """The page at each width: no fault by axe, no sideways scroll, nothing too small to press."""
    for width, scheme in LOOKS:
        page.set_viewport_size({"width": width, "height": 800})
        # without motion, so that no colour is looked at on its way from light to dark
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]  # light or dark
        where = f"{page.url} at {width} px, {scheme}"
        assert _fits(page, width), where
        assert page.evaluate(SMALL, PRESSED) == [], where
        found: list[Any] = page.evaluate(RUN, LEVELS)
        assert found == [], where


def _fits(page: Page, width: int) -> bool:
    """Whether nothing is wider than the page, once its pictures have followed the new width."""
    for _ in range(PATIENCE_MS // LOOK_MS):
        page.wait_for_timeout(LOOK_MS)
        if page.evaluate("document.documentElement.scrollWidth") <= width:
            return True
    return False


def _opened(browser: BrowserContext, address: str, selector: str) -> Page:
    page = browser.new_page()
    page.goto(address)
    expect(page.locator(selector).first).to_be_visible(timeout=20_000)
    page.wait_for_timeout(300)
    page.evaluate(AXE)
    return page


SHEETS = ["worksheet", "attempts/1/summary"]


@pytest.mark.parametrize(
    "path", [*(p.href[1:] for p in PLACES[1:]), "attempts/1", *SHEETS, "nowhere"]
)
def test_a_page_is_for_everybody(browser: BrowserContext, address: str, path: str) -> None:
    page = _opened(browser, address + path, "h1")
    look(page)
    page.close()


def _running(live: LiveState) -> None:
    live(PhaseChanged(Phase.RUNNING, 9.0))
    live(edges("run", 0, 500))


STATES: dict[str, Callable[[LiveState], object]] = {
    "quiet": lambda live: live(LINK_DOWN),
    "ready": lambda live: (live(LINK_UP), live(PhaseChanged(Phase.WAITING, 0.0))),
    "winding": lambda live: live(PhaseChanged(Phase.WINDING, 6.25, (5.5, 0.75))),
    "wound": lambda live: live(PhaseChanged(Phase.READY, 9.0)),
    "running": _running,
    "ended": lambda live: live(PhaseChanged(Phase.ENDED, 9.0)),
    "alarm": lambda live: live(LINK_DOWN),
}


def test_track_is_for_everybody_in_each_state(
    browser: BrowserContext, live: LiveState, lives: LiveBoards, address: str
) -> None:
    page = _opened(browser, address, "#track")
    for tone, reach in STATES.items():
        reach(live)
        expect(page.locator("#banner")).to_have_attribute("data-tone", tone)
        page.wait_for_timeout(300)
        look(page)
    _beside(page, lives, address)
    page.goto(address)
    expect(page.locator("#track .plot .main-svg").first).to_be_visible(timeout=20_000)
    lives.remove(live.key)
    expect(page.locator("[data-choice=car] input").first).to_be_visible(timeout=20_000)
    page.evaluate(AXE)
    look(page)
    page.close()


def _beside(page: Page, lives: LiveBoards, address: str) -> None:
    """The list of two boards, one of them without a car, and that one's page."""
    other = LiveState(place="/dev/ttyUSB0")
    lives.add(other)
    other.begin(None, FLAT, lambda **_: None)
    other(LINK_UP)
    other(BoardSeen("1.0", 3, 250_000, identity=0x2A))
    other(PhaseChanged(Phase.WAITING, 0.0))
    other.update(needs_car=True)
    for path in ("track", "track/0000002a"):
        page.goto(address + path)
        expect(page.locator("[data-choice=car] input").first).to_be_visible(timeout=20_000)
        page.evaluate(AXE)
        look(page)
    page.goto(address + "cars")  # a page of the board would open again as the board goes
    lives.remove(other.key)


def _wrong_car(page: Page) -> None:
    for field in ("weight.mass_g", "drum.0.turns", "name"):
        page.locator(f'[data-field="{field}"] input').fill("")
    expect(page.locator('[data-fault="drum.0.turns"]')).not_to_be_empty()


def _wrong_correction(page: Page) -> None:
    page.get_by_label("Distance by the tape, m").fill("-3")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-corrected]")).to_contain_text("-3", timeout=20_000)


def _wrong_plan(page: Page) -> None:
    expect(page.locator(".finding.warning").first).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")


FAULTS: tuple[tuple[str, Callable[[Page], None]], ...] = (
    ("cars:new", _wrong_car),
    ("attempts/1", _wrong_correction),
    ("next-winding?run=1&goal=fastest&mark=abc", _wrong_plan),
)


@pytest.mark.parametrize(("path", "reach"), FAULTS)
def test_faults_are_for_everybody(
    browser: BrowserContext, address: str, path: str, reach: Callable[[Page], None]
) -> None:
    page = _opened(browser, address + path, "h1")
    reach(page)
    look(page)
    page.close()


def test_a_page_without_its_server_is_for_everybody(
    browser: BrowserContext, tmp_path: Path
) -> None:
    live = make_live_state()
    live(LINK_UP)
    with (
        filled_store(tmp_path) as store,
        PageServer(create_app(store, LiveBoards([live])), port=0) as server,
    ):
        page = _opened(browser, server.address, "#track")
    expect(page.locator("[data-banner=headline]")).to_have_text("No connection to unspool")
    look(page)
    page.close()
