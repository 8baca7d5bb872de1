"""From the empty store to an own car, without a terminal; two who change one car; on a phone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from chromium import PHONE, chromium, quiet_page
from unspool.app import PageServer, create_app
from unspool.car.new_car import NEW_CAR
from unspool.store import Store

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium(PHONE) as context:
        yield context


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s.sqlite") as opened:
        yield opened


@pytest.fixture
def address(store: Store) -> Iterator[str]:
    with PageServer(create_app(store), port=0) as server:
        server.wait_until_ready()
        yield server.address


def box(page: Page, path: str) -> Locator:
    return page.locator(f'[data-field="{path}"] input')


def saved(page: Page, version: int) -> None:
    page.get_by_role("button", name="Save").press("Enter")
    expect(page.locator("#versions .versions strong").first).to_have_text(
        f"Version {version}, current"
    )


def test_an_own_car_and_floor_without_a_terminal(
    browser: BrowserContext, store: Store, address: str
) -> None:
    with quiet_page(browser) as page:
        page.goto(f"{address}cars")
        page.get_by_role("link", name="New car").click()
        sketch = page.locator("[data-sketch]")
        box(page, "name").fill("Curlew / 2")
        expect(sketch).to_have_attribute("src", re.compile("Curlew"))
        before = sketch.get_attribute("src")
        box(page, "weight.mass_g").fill("abc")
        fault = page.locator('[data-fault="weight.mass_g"]')
        expect(fault).to_contain_text('found "abc"')
        assert sketch.get_attribute("src") == before  # the last picture stays
        box(page, "weight.mass_g").fill("612,5")
        expect(fault).to_be_hidden()
        expect(page.locator('[data-matters="weight.mass_g"]')).to_contain_text("10 g more")
        expect(sketch).not_to_have_attribute("src", str(before))
        page.get_by_role("button", name="One more tier").click()
        expect(page.locator("#drum fieldset")).to_have_count(3)
        assert box(page, "weight.mass_g").input_value() == "612.5"
        box(page, "drum.2.turns").fill("1,5")
        saved(page, 1)
        expect(page.get_by_role("heading", level=1)).to_have_text("Curlew / 2")
        box(page, "body.mass_g").fill("810")
        saved(page, 2)
        expect(page.locator("#versions")).to_contain_text(
            "Mass ready to run: 810\u00a0g, before 800\u00a0g"
        )
        page.get_by_role("link", name="All cars and floors").click()
        page.get_by_role("link", name="New floor").click()
        box(page, "level.1.height_mm").fill("12,5")
        saved(page, 1)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    text = store.cars.one("curlew / 2").current.text
    assert ("mass_g = 612.5" in text, "turns = 1.5" in text, "mass_g = 810" in text) == (True,) * 3
    assert "height_mm = 12.5" in store.tracks.one("My floor").current.text


def test_the_later_of_two_sees_what_the_other_changed(
    browser: BrowserContext, store: Store, address: str
) -> None:
    store.cars.save(NEW_CAR.replace("My car", "Sandpiper"), "Sandpiper", "Ada")
    mine = browser.new_page()  # the browser itself complains of what the server refuses
    with quiet_page(browser) as theirs:
        for page in (mine, theirs):
            page.goto(f"{address}cars/Sandpiper")
        box(theirs, "body.mass_g").fill("850")
        saved(theirs, 2)
        box(mine, "weight.drop_mm").fill("480")
        mine.get_by_role("button", name="Save").click()
        expect(mine.locator(".ending [role=status]")).to_contain_text(
            "Mass ready to run: 850\u00a0g, before 800\u00a0g"
        )
        expect(box(mine, "body.mass_g")).to_have_value("850")
        expect(box(mine, "weight.drop_mm")).to_have_value("480")
        saved(mine, 3)
    versions = [version.text for version in store.cars.one("Sandpiper").versions]
    assert ["mass_g = 850" in text for text in versions] == [False, True, True]
    assert ["drop_mm = 480" in text for text in versions] == [False, False, True]
