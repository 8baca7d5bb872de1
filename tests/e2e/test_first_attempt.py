"""From an empty store to the first attempt with an own car, without a terminal: desk and phone.

The app is the command that users start, and behind its USB port is the compiled firmware.
"""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from chromium import DESK, PHONE, chromium, quiet_page
from e2e.trackside_parts import App, Trackside, app, trackside
from unspool.car import parse_car
from unspool.store import Store

pytestmark = pytest.mark.firmware

# What is typed over the sizes of a new car: a light weight on a rough floor, which stops soon.
SIZES = {
    "name": "Curlew / 2",
    "weight.mass_g": "612,5",
    "weight.drop_mm": "300",
    "drum.0.turns": "1",
    "drum.1.turns": "1,5",
    "losses.rolling_coefficient": "0,03",
}
NAMED = re.compile(r"^Curlew . 2, \d+ [A-Z][a-z]{2}( \d{4})?, 1st$")
FITS = "document.documentElement.scrollWidth <= innerWidth"
DRAWN = "document.querySelector('#track .plot')?.data?.[1]?.x?.length ?? 0"
SLOW_MS = 20_000


class Hand:
    """Presses with a finger or a mouse, and looks that each page fits the screen."""

    def __init__(self, page: Page, *, touch: bool) -> None:
        self.page, self._touch = page, touch

    def press(self, what: Locator) -> None:
        what.tap() if self._touch else what.click()

    def place(self, name: str) -> None:
        self.press(self.page.locator("#places").get_by_role("link", name=name, exact=True))
        expect(self.page.locator("#places a[aria-current=page]")).to_have_text(name)

    def fill(self, field: str, text: str) -> None:
        box = self.page.locator(f'[data-field="{field}"] input')
        fold = box.locator("xpath=ancestor::details[not(@open)]")
        if fold.count():
            self.press(fold.locator("summary").first)
        box.fill(text)

    def save(self) -> None:
        self.press(self.page.get_by_role("button", name="Save"))
        current = self.page.locator("#versions .versions strong").first
        expect(current).to_have_text("Version 1, current")
        assert self.page.evaluate(FITS)


@contextmanager
def opened(folder: Path, size: tuple[int, int], *, touch: bool) -> Iterator[tuple]:
    with (
        trackside(folder) as board,
        app(folder) as started,
        chromium(size, touch=touch) as browser,
        quiet_page(browser, refused="409") as page,
    ):
        page.goto(started.address)
        yield board, started, Hand(page, touch=touch)


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_the_first_attempt_without_a_terminal(tmp_path: Path, size: tuple[int, int]) -> None:
    with opened(tmp_path, size, touch=size == PHONE) as (board, started, hand):
        _describe(hand)
        _start(hand)
        told = _attempt(hand, board, started)
        _find(hand, told)


def _describe(hand: Hand) -> None:
    """An own car and a floor; a wrong weight is said beside its field."""
    page = hand.page
    expect(page.get_by_role("heading", name="Start a recording")).to_be_visible()
    expect(page.locator("[data-none=car]")).to_contain_text("unspool demo")
    expect(page.get_by_role("button", name="Start the recording")).to_be_disabled()
    expect(page.locator(".act [data-said]").first).to_have_text("Describe a car first.")
    hand.place("Logbook")
    expect(page.get_by_role("heading", name="No attempt yet")).to_be_visible()
    hand.place("Track")
    hand.press(page.get_by_role("link", name="Describe a car"))
    hand.press(page.get_by_role("link", name="New car"))
    sketch = page.locator("[data-sketch]")
    before = str(sketch.get_attribute("src"))
    hand.fill("weight.mass_g", "abc")
    fault = page.locator('[data-fault="weight.mass_g"]')
    expect(fault).to_contain_text('found "abc"')
    for field, text in SIZES.items():
        hand.fill(field, text)
    expect(fault).to_be_hidden()
    expect(sketch).not_to_have_attribute("src", before)
    hand.save()
    expect(page.get_by_role("heading", level=1)).to_have_text("Curlew / 2")
    hand.press(page.get_by_role("link", name="All cars and floors"))
    hand.press(page.get_by_role("link", name="New floor"))
    hand.save()


def _start(hand: Hand) -> None:
    page = hand.page
    hand.place("Track")
    start = page.get_by_role("button", name="Start the recording")
    expect(page.get_by_label("Curlew / 2")).to_be_checked()
    expect(start).to_be_in_viewport(ratio=1.0)
    hand.press(page.locator("label").filter(has_text="My floor"))
    expect(page.locator("[data-choice=board] input")).to_be_checked()
    hand.press(start)
    expect(_headline(page)).to_have_text("Ready to wind", timeout=SLOW_MS)


def _headline(page: Page) -> Locator:
    return page.locator('[data-banner="headline"]')


def _attempt(hand: Hand, board: Trackside, started: App) -> str:
    """Winds both tiers, lets the car go, and returns the sentence at the end."""
    page = hand.page
    rows = page.locator(".wound li")
    board.wind(1.5)
    expect(rows.first).to_have_text("run1.50 of 1.50\u00a0turns")
    hand.press(page.get_by_role("button", name="Next tier"))
    expect(page.locator('[data-live="marked"]')).to_contain_text("start")
    board.wind(1.0)
    expect(rows.last).to_have_text("start1.00 of 1.00\u00a0turns")
    expect(_headline(page)).to_have_text("Wound")
    with Store.open(started.store) as store:
        car = parse_car(store.cars.one("curlew / 2").current.text, "the car")
    truth = board.let_go(car)
    expect(_headline(page)).to_have_text("Running")
    assert page.evaluate(FITS)
    _grows(page)
    expect(_headline(page)).to_have_text("Attempt over", timeout=SLOW_MS)
    _is_read(page)
    answer = page.locator('[data-live="answer"]')
    expect(answer).to_have_text(re.compile(r"^\d\.\d\d\u00a0m, as expected"))
    told = answer.inner_text()
    pitch_m = truth.car.metres_per_edge
    assert float(told.partition("\u00a0")[0]) == pytest.approx(truth.rest_m, abs=pitch_m)
    return told


def _is_read(page: Page) -> None:
    """Until then the distance is that of the last edge, and the picture has no events."""
    give_up = time.monotonic() + SLOW_MS / 1000
    while not page.evaluate("document.querySelector('#track .plot')?.layout?.shapes?.length ?? 0"):
        assert time.monotonic() < give_up
        page.wait_for_timeout(50)


def _grows(page: Page) -> None:
    """Picture and distance follow the car, from the launch on."""
    seen, distances = {page.evaluate(DRAWN)}, []
    while len(seen) < 8 and _headline(page).inner_text() == "Running":
        page.wait_for_timeout(50)
        seen.add(page.evaluate(DRAWN))
        distances.append(float(page.locator('[data-live="value-0"]').inner_text()))
    assert len(seen) == 8
    assert distances == sorted(distances)
    assert distances[0] >= 0.0


def _find(hand: Hand, told: str) -> None:
    """The attempt in the Logbook, opened, says the same."""
    page = hand.page
    hand.place("Logbook")
    assert page.evaluate(FITS)
    hand.press(page.get_by_role("link", name=NAMED))
    expect(page.locator("h1")).to_have_text(NAMED)
    expect(page.locator("main")).to_contain_text(told.partition(",")[0])
    expect(page.locator("article header")).to_contain_text("(counted)")
    expect(page.locator("#picture-speed .main-svg").first).to_be_visible()
    assert page.evaluate(FITS)
