"""The study pages in Debian's Chromium: chosen by keyboard, waited for, read on a phone."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from chromium import chromium, quiet_page
from unspool.app import PageServer, create_app
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run

pytestmark = pytest.mark.browser

SMALLEST = 360
LEAST_TOUCH = 44
# Each control that is too small for a finger, that Tab passes by, or that says no name. A control
# with a label, and a field with its steppers, are touched anywhere on those.
AWKWARD = """least => [...document.querySelectorAll(
    "main a, main button, main input, main textarea, main summary")]
  .filter(e => !e.closest(".modebar, [role=grid]") && e.getClientRects().length)
  .filter(e => {
    const whole = e.closest(".boxes label, .dash-input-container, .switch") ?? e;
    const name = e.ariaLabel || e.labels?.[0]?.textContent || e.textContent;
    return whole.getBoundingClientRect().height < least || e.tabIndex < 0 && e.tagName !== "BUTTON"
      || !name;
  })
  .map(e => e.outerHTML.slice(0, 120))"""
# Whether the sliders' picture and the last slider are whole on the screen.
IN_VIEW = """[".in-view", ".sliders label:last-child input"].map(e => document.querySelector(e))
  .map(e => e.getBoundingClientRect()).map(r => r.top >= 0 && r.bottom <= innerHeight)"""
SCROLLS = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageServer]:
    """Pages over a store of four true runs of two windings."""
    with Store.open(tmp_path_factory.mktemp("store") / "runs.sqlite") as store:
        for i, turns in enumerate([3.5, 2.5, 3.5, 2.5]):
            train = true_run(sandpiper().wound((turns, 5.3)), corridor(), USUAL, seed=i).train
            text = SANDPIPER.read_text().replace("turns = 3.5", f"turns = {turns}")
            store.add_import(train, text, CORRIDOR.read_text(), source=f"{i}.csv")
        with PageServer(create_app(store, None), port=0) as served:
            yield served


@pytest.fixture
def page(browser: BrowserContext) -> Iterator[Page]:
    with quiet_page(browser) as opened:
        yield opened


def test_runs_are_chosen_by_keyboard_and_compared(server: PageServer, page: Page) -> None:
    page.goto(server.address + "attempts/3")
    page.get_by_role("link", name="Compare it").click()
    expect(page.get_by_label(", 3rd:")).to_be_checked()
    for attempt in (", 1st:", ", 2nd:", ", 4th:"):
        page.get_by_label(attempt).focus()
        page.keyboard.press("Space")
    page.get_by_role("button", name="Set side by side").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#picture-speeds")).to_be_visible(timeout=60_000)
    assert page.url.partition("?")[2] == "run=3&run=1&run=2&run=4&by=winding"
    expect(page.get_by_text("2.5 start + 5.3 run").first).to_be_visible()
    page.go_back()
    expect(page.locator("#picture-speeds")).to_have_count(0)


def test_losses_lead_to_a_plan(server: PageServer, page: Page) -> None:
    page.goto(server.address + "losses?run=1&run=2&run=3&run=4")
    expect(page.locator("#picture-modelled")).to_be_visible(timeout=60_000)
    expect(page.locator("#losses-toml")).to_contain_text("rolling_coefficient = 0.01")
    page.get_by_role("link", name="Plan with these losses").click()
    page.get_by_text("Another goal, limit, car or part").click(timeout=60_000)
    page.get_by_label("stop nearest to the mark").check()
    page.get_by_label("Mark, m from the launch").fill("12.5")
    page.get_by_role("button", name="Plan", exact=True).click()
    expect(page.locator("#picture-changes")).to_be_visible(timeout=60_000)
    expect(page.get_by_text(re.compile(r"It should stop at 12\.(4[89]|5[0-2])"))).to_be_visible()
    assert "learn=1" in page.url
    assert "mark=12.5" in page.url


@pytest.mark.parametrize(
    ("address", "ready"),
    [
        ("side-by-side?run=1&run=2&run=3&run=4", "#picture-speeds"),
        ("losses?run=1&run=2&run=3&run=4", "#picture-modelled"),
        ("next-winding?run=1&goal=farthest", "#picture-changes"),
        ("next-winding", "#picture-changes"),
    ],
)
def test_phones_need_not_scroll_sideways(
    server: PageServer, page: Page, address: str, ready: str
) -> None:
    page.set_viewport_size({"width": SMALLEST, "height": 740})
    page.goto(server.address + address)
    expect(page.locator(ready)).to_be_visible(timeout=60_000)
    page.wait_for_timeout(300)
    assert not page.evaluate(SCROLLS)
    places = page.locator("#places a")
    heights = {round(box["height"]) for place in places.all() if (box := place.bounding_box())}
    assert len(heights) == 1  # no name of a page is broken over two lines


@pytest.mark.parametrize(
    ("address", "ready"),
    [
        ("logbook", "h1"),
        ("attempts/1", "#picture-speed"),
        ("side-by-side?run=1&run=2&run=3&run=4", "#picture-speeds"),
        ("losses?run=1&run=2&run=3&run=4", "#picture-modelled"),
        ("next-winding?run=1&goal=farthest", "#picture-changes"),
    ],
)
def test_every_control_has_a_name_and_room_for_a_finger(
    server: PageServer, page: Page, address: str, ready: str
) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(server.address + address)
    expect(page.locator(ready)).to_be_visible(timeout=60_000)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    page.wait_for_timeout(300)
    assert page.evaluate(AWKWARD, LEAST_TOUCH) == []
    assert not page.evaluate(SCROLLS)


def test_the_lines_are_copied_by_keyboard(server: PageServer, page: Page) -> None:
    page.goto(server.address + "losses?run=1&run=2")
    page.get_by_text("The lines for a car file").click()
    button = page.get_by_role("button", name="Copy the lines")
    expect(button).to_be_visible(timeout=60_000)
    lines = page.locator("#losses-toml").inner_text()
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    button.press("Enter")
    expect(page.locator("[data-copied]")).to_have_text("Copied.")
    assert page.evaluate("navigator.clipboard.readText()").strip() == lines.strip()
    page.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(); }")
    button.press("Enter")
    expect(page.locator("[data-copied]")).to_contain_text("copy it")
    assert page.evaluate("getSelection().toString()").strip() == lines.strip()


def test_parts_owned_are_typed_into_the_plan(server: PageServer, page: Page) -> None:
    page.goto(server.address + "next-winding?run=1")
    page.get_by_text("Another goal, limit, car or part").click()
    page.get_by_text("Also try other parts that I own").click()
    page.get_by_label("Weights, g").fill("300, 900")
    page.get_by_label("Tier run, diameters in mm").fill("11")
    page.get_by_role("button", name="Plan", exact=True).press("Enter")
    expect(page.get_by_text("Fit the weight 900 g")).to_be_visible(timeout=60_000)
    expect(page.get_by_label("Weights, g")).to_have_value("300, 900")


def test_a_slider_draws_another_run_at_once(server: PageServer, page: Page) -> None:
    page.goto(server.address + "next-winding?run=1&goal=farthest")
    expect(page.locator("#picture-trial .js-plotly-plot")).to_be_visible(timeout=60_000)
    weight = page.get_by_role("slider", name="Weight")
    page.keyboard.press("Tab")
    weight.focus()
    expect(weight).to_have_css("outline-style", "solid")
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    said = page.locator("[data-said]")
    expect(said).to_contain_text("than as planned")
    reach = "document.querySelector('#picture-trial .js-plotly-plot')._fullData[1].x.at(-1)"
    planned = "document.querySelector('#picture-trial .js-plotly-plot')._fullData[0].x.at(-1)"
    assert page.evaluate(f"{reach} > {planned}")
    best = page.locator(".best-here").first
    assert (box := best.bounding_box()) is not None
    assert (box["width"], box["height"]) == (4, 14)
    for width in (390, 820):
        page.set_viewport_size({"width": width, "height": 844})
        page.get_by_role("slider").last.evaluate("e => e.scrollIntoView({block: 'end'})")
        page.wait_for_timeout(100)
        assert page.evaluate(IN_VIEW) == [True, True]
