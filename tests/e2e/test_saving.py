"""Pictures saved from the pages by Debian's Chromium: the files come, and hold the picture."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Locator, Page, expect

import sample_run
from app_parts import LINK_UP, edges, filled_store, make_live_state, read_sample
from chromium import PHONE, chromium, quiet_page
from unspool.app import LiveBoards, PageServer, create_app
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.render.figures import palette
from unspool.render.html.page import reading_page

pytestmark = pytest.mark.browser

SVG = "{http://www.w3.org/2000/svg}"
WIDTH = 960
LEAST_TOUCH = 44
# A curve 3 dots wide and twice as sharp, across most of the picture, is some thousands of dots.
LEAST_DOTS = 2000


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium(PHONE) as context:
        yield context


@pytest.fixture(scope="module")
def addresses(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Where the live page, a run's page and a page written to a file are."""
    folder = tmp_path_factory.mktemp("pages")
    written = folder / "reading.html"
    written.write_text(reading_page(sample_run.sample_reading(), "tuesday/run 7.csv"))
    with filled_store(folder) as store:
        live = make_live_state()
        live(LINK_UP)
        live(PhaseChanged(Phase.RUNNING, 0.0))
        live(edges("run", 0, 600))
        with PageServer(create_app(store, LiveBoards([live]), read_sample), port=0) as server:
            here = server.address
            yield {"live": here, "run": f"{here}attempts/1", "file": written.as_uri()}


@pytest.fixture
def page(browser: BrowserContext) -> Iterator[Page]:
    with quiet_page(browser) as opened:
        yield opened


def _figure(page: Page, address: str) -> Locator:
    page.goto(address)
    figure = page.locator("figure").first
    expect(figure.locator(".js-plotly-plot .trace").first).to_be_attached()
    return figure


def _saved(page: Page, figure: Locator, kind: str, folder: Path) -> Path:
    """The file that the button of this kind brings, pressed by keyboard."""
    button = figure.get_by_role("button", name=f"Save as {kind}")
    button.focus()
    with page.expect_download() as waiting:
        page.keyboard.press("Enter")
    expect(figure.locator("[data-saved]")).to_have_text(
        f"Saved: {waiting.value.suggested_filename}"
    )
    expect(button).to_be_focused()
    there = folder / waiting.value.suggested_filename
    waiting.value.save_as(there)
    return there


@pytest.mark.parametrize(
    ("place", "name"),
    [
        ("live", "curlew-live-speed"),
        ("run", "sandpiper-run-1-speed"),
        ("file", "curlew-run-7-speed"),
    ],
)
def test_a_picture_is_saved_as_png_and_as_svg(
    addresses: dict[str, str], page: Page, tmp_path: Path, place: str, name: str
) -> None:
    figure = _figure(page, addresses[place])
    dots = _saved(page, figure, "PNG", tmp_path)
    lines = _saved(page, figure, "SVG", tmp_path)
    assert (dots.name, lines.name) == (f"{name}.png", f"{name}.svg")
    with Image.open(dots) as image:
        assert image.width == 2 * WIDTH
        assert image.height >= WIDTH
        colours = {colour: n for n, colour in image.convert("RGB").getcolors(1 << 20) or ()}
        ink = tuple(bytes.fromhex(palette.MEASURED.removeprefix("#")))
        assert colours[ink] > LEAST_DOTS
    root = ElementTree.parse(lines).getroot()
    assert (root.tag, root.get("width")) == (f"{SVG}svg", str(WIDTH))
    assert "speed (m/s)" in [text.text for text in root.iter(f"{SVG}text")]
    assert [path for path in root.iter(f"{SVG}path") if "NaN" in path.get("d", "")] == []


@pytest.mark.parametrize("place", ["live", "run", "file"])
def test_every_picture_has_buttons_for_fingers(
    addresses: dict[str, str], page: Page, place: str
) -> None:
    _figure(page, addresses[place])
    figures = page.locator("figure:has(.js-plotly-plot)")
    assert figures.count() == {"live": 1, "run": 6, "file": 6}[place]
    names = []
    for figure in figures.all():
        buttons = figure.locator("[data-save]").all()
        assert len(buttons) == 2
        names += [button.get_attribute("data-name") for button in buttons]
        for button in buttons:
            box = button.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= LEAST_TOUCH
    assert len(set(names)) == figures.count()
    assert page.locator("[data-title*=ownload]").count() == 0
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
