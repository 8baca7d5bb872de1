"""Pages on paper: nothing is cut off at its edge, no field is left out, no button is printed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from app_parts import LINK_UP, edges, filled_store, make_live_state, read_sample
from chromium import chromium, quiet_page
from unspool.app import LiveBoards, PageServer, create_app
from unspool.instrument.record.notices import Phase, PhaseChanged

pytestmark = pytest.mark.browser

PAPER_PX = 703  # A4 without margins of 12 mm, as a browser counts
MANY = 40  # attempts: more than a table draws on a screen
PAGES = {
    "": "#track .main-svg",
    "logbook": "[role=row] a",
    "attempts/1": "#picture-speed .main-svg",
    "cars": ".cards a",
    "cars/Sandpiper": "[data-field] input",
}
# What stands out over the paper's edge.
OVER = """paper => [...document.querySelectorAll("main *")]
  .filter(one => one.checkVisibility() && !one.closest(".unseen, .draglayer"))
  .filter(one => one.getBoundingClientRect().right > paper + 1)
  .map(one => one.outerHTML.slice(0, 90))"""
# Fields that are not drawn, though their labels are.
LEFT_OUT = """() => [...document.querySelectorAll("[data-field] :is(input, select)")]
  .filter(one => one.closest("label").getBoundingClientRect().height > 0)
  .filter(one => one.getBoundingClientRect().height === 0).map(one => one.outerHTML.slice(0, 90))"""
PRESSED = """() => [...document.querySelectorAll("button, #places a")]
  .filter(one => one.checkVisibility()).map(one => one.outerHTML.slice(0, 90))"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    live = make_live_state()
    for notice in (LINK_UP, PhaseChanged(Phase.RUNNING, 9.0), edges("run", 0, 500)):
        live(notice)
    with (
        filled_store(tmp_path_factory.mktemp("store"), ("Sandpiper",) * MANY) as store,
        PageServer(create_app(store, LiveBoards([live]), read_sample), port=0) as server,
    ):
        yield server.address


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with chromium() as browser, quiet_page(browser) as opened:
        yield opened


@pytest.mark.parametrize(("path", "ready"), PAGES.items())
def test_a_page_fits_on_paper(
    page: Page, address: str, path: str, ready: str, tmp_path: Path
) -> None:
    page.goto(address + path)
    expect(page.locator(ready).first).to_be_visible(timeout=20_000)
    printed = tmp_path / "printed.pdf"
    page.pdf(path=printed, format="A4")
    assert printed.read_bytes().startswith(b"%PDF-")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": PAPER_PX, "height": 1000})
    assert page.evaluate(OVER, PAPER_PX) == []
    assert page.evaluate(LEFT_OUT) == []
    assert page.evaluate(PRESSED) == []
    page.emulate_media(media="null")
    page.set_viewport_size({"width": 1280, "height": 800})


WIDE = """() => [...document.querySelectorAll("#picture-speed .main-svg")]
  .map(one => one.getBoundingClientRect().width)"""


def test_a_picture_is_drawn_for_the_paper_and_then_for_the_screen_again(
    page: Page, address: str, tmp_path: Path
) -> None:
    """Made smaller as a whole, its words would be too small to read."""
    page.goto(f"{address}attempts/1")
    expect(page.locator("#picture-speed .main-svg").first).to_be_visible(timeout=20_000)
    on_screen = page.evaluate(WIDE)
    page.evaluate("addEventListener('beforeprint', () => { window.drawn = (" + WIDE + ")(); })")
    page.pdf(path=tmp_path / "printed.pdf", format="A4")
    assert max(page.evaluate("window.drawn")) <= PAPER_PX < min(on_screen)
    expect(page.locator("#picture-speed .main-svg").first).to_have_css(
        "width", f"{on_screen[0]:g}px"
    )


def test_all_attempts_that_the_search_leaves_are_printed(
    page: Page, address: str, tmp_path: Path
) -> None:
    """The library's table holds those in sight alone. A search that leaves none is spoken."""
    page.goto(f"{address}logbook")
    expect(page.locator("[role=row] a").first).to_be_visible(timeout=20_000)
    assert len(set(_printed(page, tmp_path))) == MANY
    search = page.get_by_role("textbox", name="Search")
    search.fill("0th")
    said = page.get_by_role("status")
    expect(said.filter(has_text="4 of")).to_be_visible()
    assert _printed(page, tmp_path) == ["40th", "30th", "20th", "10th"]
    expect(page.locator(".printed")).to_have_count(0)
    search.fill("no such word")
    expect(
        page.get_by_role("status").filter(has_text="No attempt fits the search.")
    ).to_be_visible()
    search.fill("")


def _printed(page: Page, folder: Path) -> list[str]:
    """The numbers of the day of the attempts on paper, in their order."""
    page.pdf(path=folder / "printed.pdf", format="A4")
    text = " ".join(one.extract_text() for one in PdfReader(folder / "printed.pdf").pages)
    return re.findall(r"\b[0-9]+(?:st|nd|rd|th)\b", text)
