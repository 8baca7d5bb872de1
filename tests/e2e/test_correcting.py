"""A wrong winding is corrected on an attempt's page in Chromium, and the reading follows."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Dialog, Page, expect

from chromium import PHONE, chromium, quiet_page
from unspool.app import PageServer, create_app
from unspool.store import Store
from unspool.virtual.demo import add_earlier_runs

pytestmark = pytest.mark.browser

RUN = "6"  # of the Sandpiper, wound 1.5 and 7 turns
PATIENCE_MS = 20_000


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        add_earlier_runs(opened)
        yield opened


@pytest.fixture
def page(store: Store) -> Iterator[Page]:
    """The browser reports each request that is refused."""
    with (
        PageServer(create_app(store), port=0) as server,
        chromium(PHONE) as browser,
        quiet_page(browser, refused="409") as opened,
    ):
        opened.goto(f"{server.address.rstrip('/')}/attempts/{RUN}")
        expect(opened.locator(".answer .first")).to_be_visible(timeout=PATIENCE_MS)
        opened.get_by_role("link", name="Logbook", exact=True).click()
        expect(opened.get_by_role("heading", name="Logbook")).to_be_visible()
        opened.evaluate("history.back()")
        expect(opened.locator(".answer .first")).to_be_visible(timeout=PATIENCE_MS)
        yield opened


def _save(page: Page, words: str = "Saved.") -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-corrected]")).to_contain_text(words, timeout=PATIENCE_MS)


def _undo(page: Page, left: int) -> None:
    page.get_by_role("button", name="Undo the last change").click()
    expect(page.locator(".history li")).to_have_count(left, timeout=PATIENCE_MS)


def test_a_winding_is_corrected_discarded_and_undone(page: Page, store: Store) -> None:
    asked: list[str] = []
    page.on("dialog", lambda dialog: _stay(dialog, asked))
    answer, header = page.locator(".answer .first"), page.locator(".run > header")
    before = answer.inner_text()
    _save(page, "Nothing was changed.")
    page.get_by_text("Correct the car, floor, winding").click()
    turns = page.get_by_label("Turns on run").and_(page.locator("label:visible input"))
    turns.fill("4,25")
    note = page.get_by_label("What to remember")
    note.fill("new string\n0.4 mm")
    page.get_by_role("link", name="Cars").click()
    page.evaluate("history.forward()")
    page.wait_for_timeout(300)
    assert (len(asked), page.url.rsplit("/", 1)[1]) == (2, RUN)
    _save(page)
    expect(answer).not_to_have_text(before)
    expect(turns).to_have_value("4.25")  # its fold is open as before
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_focused()
    assert page.evaluate("scrollY") > 500
    assert store.run(RUN).said_turns == (("start", 1.5), ("run", 4.25))
    page.get_by_label("Distance by the tape, m").fill("-3")
    _save(page, "-3")
    page.get_by_label("Distance by the tape, m").fill("")
    page.get_by_role("button", name="Discard this attempt").click()
    expect(header).to_contain_text("Discarded", timeout=PATIENCE_MS)
    page.get_by_text("History: 3 changes").click()
    _undo(page, 4)
    expect(header).not_to_contain_text("Discarded")
    assert not store.run(RUN).discarded
    page.get_by_role("link", name="Logbook", exact=True).click()
    expect(page.get_by_role("heading", name="Logbook")).to_be_visible()
    assert len(asked) == 2  # nothing was unsaved


def _stay(dialog: Dialog, asked: list[str]) -> None:
    asked.append(dialog.message)
    dialog.dismiss()


def test_another_car_asks_for_the_turns_on_its_own_drum(page: Page, store: Store) -> None:
    page.get_by_text("Correct the car, floor, winding").click()
    page.locator("[data-field=car] select").select_option(label="Dunlin")
    page.locator("[data-field=track] select").select_option(label="Level")
    for tier, turns in (("start", "2"), ("middle", "2"), ("run", "3,5")):
        page.locator(f'[data-field="turns:{tier}"] input').locator("visible=true").fill(turns)
    _save(page)
    expect(page.locator("h1")).to_contain_text("Dunlin")
    run = store.run(RUN)
    assert run.said_turns == (("start", 2.0), ("middle", 2.0), ("run", 3.5))
    assert run.track_text is None
    page.get_by_text("History: 3 changes").click()
    _undo(page, 6)
    expect(page.locator("h1")).to_contain_text("Sandpiper")
    assert store.run(RUN).said_turns is None
