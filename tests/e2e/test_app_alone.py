"""The app as a user starts it, by its command, in Debian's Chromium."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, expect

from chromium import chromium, quiet_page
from cli.shell import served
from unspool.store import Store
from unspool.virtual.demo import add_earlier_runs
from unspool.virtual.demo.earlier_runs import EARLIER

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


def test_the_demos_runs_are_listed_and_compared(browser: BrowserContext, tmp_path: Path) -> None:
    store = tmp_path / "data" / "unspool" / "demo.sqlite"
    with Store.open(store) as opened:
        add_earlier_runs(opened)
    demo = served(tmp_path, "app", "--store", "demo", "--port", "0", "--no-browser")
    with demo as (_, address), quiet_page(browser) as page:
        page.goto(f"{address}logbook")
        count = page.get_by_text(f"{len(EARLIER)} attempts", exact=True)
        expect(count).to_be_visible(timeout=60_000)  # all of them are read
        page.get_by_role("link", name="Side by side", exact=True).click()
        expect(page.get_by_text("Different. ").first).to_be_visible(timeout=60_000)
