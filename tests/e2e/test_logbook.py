"""The Logbook in a browser: attempts are found, ticked, corrected, discarded and taken back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from app_parts import filled_store, read_sample
from chromium import chromium, quiet_page
from e2e.test_accessibility import AXE, look
from unspool.app import PageServer, create_app
from unspool.store import Field, Store

pytestmark = pytest.mark.browser

NAMES = ("Sandpiper", "Dunlin", "Sandpiper", "Dunlin", "Sandpiper")
IN_ORDER = """all => all.map(one => [one.getBoundingClientRect().top, one.textContent])
  .sort((a, b) => a[0] - b[0]).map(([_, name]) => name)"""
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, NAMES) as opened:
        opened.correct("1", {Field.TAGS: ("wet",), Field.TAPED_M: 11.0}, "Ada")
        opened.correct("2", {Field.NOTE: "new string", Field.TAPED_M: 12.25}, "Ada")
        yield opened


@pytest.fixture
def opened(browser: BrowserContext, store: Store) -> Iterator[tuple[Page, str]]:
    with (
        PageServer(create_app(store, None, read_sample), port=0) as server,
        quiet_page(browser) as page,
    ):
        page.goto(f"{server.address}logbook")
        expect(page.get_by_text("5 attempts", exact=True)).to_be_visible()  # all lines are made
        yield page, server.address


def names(page: Page) -> list[str]:
    """In the order of the table, whatever the order of its elements."""
    found: list[str] = page.locator("[data-logbook] a.name").evaluate_all(IN_ORDER)
    return found


def soon(page: Page, wanted: Callable[[], bool]) -> None:
    for _ in range(100):
        if wanted():
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never so; there are {names(page)}")


def tick(page: Page, place: int) -> None:
    """The row at this place in the table."""
    box = page.get_by_role("checkbox", name=f"Tick {names(page)[place]}", exact=True)
    box.click()
    expect(box).to_be_checked()


def test_attempts_are_found_ticked_and_led_on(opened: tuple[Page, str], store: Store) -> None:
    page, address = opened
    newest = names(page)
    assert [name.split(",")[0] for name in newest] == list(reversed(NAMES))

    page.get_by_role("columnheader", name="Taped").click()
    page.get_by_role("columnheader", name="Taped").click()
    soon(page, lambda: names(page)[:2] == [newest[3], newest[4]])

    page.get_by_label("Search").fill("dunlin 12,25")  # of the taped one, with a decimal comma
    expect(page.get_by_text("1 of 5 attempts", exact=True)).to_be_visible()
    soon(page, lambda: names(page) == [newest[3]])
    page.get_by_label("Search").fill("")
    page.locator("summary", has_text="Filter and sort").click()
    page.get_by_role("combobox", name="Car").select_option("Sandpiper")
    soon(page, lambda: {name.split(",")[0] for name in names(page)} == {"Sandpiper"})
    page.get_by_role("combobox", name="Tag").select_option("wet")
    soon(page, lambda: names(page) == [newest[4]])
    page.get_by_role("button", name="Show all").click()
    page.get_by_role("combobox", name="Order").select_option("oldest first")
    soon(page, lambda: names(page) == newest[::-1])

    tick(page, 0)
    tick(page, 2)
    page.get_by_role("button", name="Side by side").click()
    expect(page).to_have_url(f"{address}side-by-side?run=3&run=1")
    expect(page.locator("main .answer")).to_be_visible(timeout=60_000)
    page.go_back()
    expect(page.get_by_text("2 ticked", exact=True)).to_be_visible()  # as it was left
    soon(page, lambda: names(page) == newest[::-1])
    page.get_by_role("button", name="Untick all").last.click()
    expect(page.get_by_text("2 ticked", exact=True)).to_be_hidden()


def test_the_newest_are_shown_before_all_others_have_come(opened: tuple[Page, str]) -> None:
    page, _ = opened
    every, held = names(page), list[Route]()
    page.route(
        "**/logbook/rows?first=*",
        lambda route: route.continue_(url=f"{route.request.url.partition('=')[0]}=2"),
    )
    page.route("**/logbook/rows", lambda route: held.append(route))
    page.reload()
    expect(page.get_by_text("The newest 2. The others are on their way.")).to_be_visible()
    assert names(page) == every[:2]
    expect(page.get_by_role("button", name="Tick all")).to_be_hidden()
    tick(page, 1)
    held[0].continue_()
    expect(page.get_by_text("5 attempts", exact=True)).to_be_visible()
    assert names(page) == every
    expect(page.get_by_text("1 ticked", exact=True)).to_be_visible()


def test_several_are_corrected_discarded_and_taken_back(
    opened: tuple[Page, str], store: Store
) -> None:
    page, _ = opened
    newest = names(page)
    tick(page, 0)
    tick(page, 2)
    page.get_by_role("button", name="Correct", exact=True).click()
    form = page.get_by_role("dialog")
    form.get_by_label("Turns on start").fill("3,25")
    form.get_by_role("button", name="Save").click()
    expect(form.get_by_role("alert")).to_contain_text("each tier")
    form.get_by_label("Turns on run").fill("5,5")
    form.get_by_label("Falling weight").fill("655,5")
    form.get_by_label("Tags to add").fill("cup")
    form.get_by_role("button", name="Save").click()
    expect(form).to_be_hidden()
    expect(page.get_by_text("2 attempts corrected.")).to_be_visible()
    for run in (store.run("5"), store.run("3")):
        assert (run.said_turns, run.weight_g) == ((("start", 3.25), ("run", 5.5)), 655.5)
        assert run.tags == ("cup",)

    page.get_by_role("button", name="Discard", exact=True).click()
    expect(page.get_by_text("3 of 5 attempts", exact=True)).to_be_visible()
    soon(page, lambda: names(page) == [newest[1], newest[3], newest[4]])
    assert [row.discarded for row in store.runs()] == [False, False, True, False, True]
    undo = page.get_by_role("button", name="Undo")
    expect(undo).to_be_focused()
    undo.click()
    soon(page, lambda: names(page) == newest)
    assert not any(row.discarded for row in store.runs())

    store.correct("1", {Field.DISCARDED: True}, "Ada")  # elsewhere: the page follows by itself
    expect(page.get_by_text("4 of 5 attempts", exact=True)).to_be_visible(timeout=20_000)


def test_on_a_phone_an_attempt_opens_at_a_tap_anywhere(
    opened: tuple[Page, str], store: Store
) -> None:
    page, address = opened
    store.correct("4", {Field.DISCARDED: True}, "Ada")
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]  # a plain dict
    page.reload()
    expect(page.get_by_text("4 of 5 attempts", exact=True)).to_be_visible()
    page.locator("summary", has_text="Filter and sort").click()
    page.get_by_label("Show discarded").check()
    soon(page, lambda: len(names(page)) == 5)
    page.locator("summary", has_text="Filter and sort").click()
    tick(page, 1)
    page.get_by_role("button", name="Restore", exact=True).click()
    expect(page.get_by_text("1 attempt restored.")).to_be_visible()
    assert not store.run("4").discarded
    first = names(page)[0]
    page.get_by_text("start\u00a03.60").first.click()
    expect(page).to_have_url(f"{address}attempts/5")
    expect(page.locator("h1")).to_have_text(first)


def test_the_logbook_is_for_everybody_while_attempts_are_ticked(
    opened: tuple[Page, str],
) -> None:
    page, _ = opened
    page.evaluate(AXE)
    page.locator("summary", has_text="Filter and sort").click()
    tick(page, 0)
    tick(page, 2)
    look(page)
    page.get_by_role("button", name="Correct", exact=True).click()
    page.locator("summary", has_text="roll-out").click()
    look(page)
    page.get_by_role("dialog").get_by_label(names(page)[0]).fill("5,2")
    page.get_by_role("button", name="Estimate").click()
    expect(page.locator("[data-rolled]")).to_contain_text(re.compile(r"Not done: \S+|It rolls \S+"))


def test_an_empty_logbook_loads_the_demo(browser: BrowserContext, tmp_path: Path) -> None:
    with (
        Store.open(tmp_path / "empty") as store,
        PageServer(create_app(store, None, read_sample), port=0) as server,
        quiet_page(browser) as page,
    ):
        page.goto(f"{server.address}logbook")
        load = page.get_by_role("button", name="Load the demo's attempts")
        expect(load).to_be_visible()
        page.evaluate(AXE)
        look(page)
        load.click()
        expect(page.get_by_text("10 attempts", exact=True)).to_be_visible(timeout=60_000)
        expect(page.get_by_text("No attempt yet")).to_be_hidden()
