"""Board, network, page and server are lost in the middle of one run, and regained.

The banner says so each time, and the attempt is whole at the end: the board keeps what it saw until
it hears that it is safe.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from chromium import chromium
from e2e.trackside_parts import App, Trackside, app, trackside
from network import AppNetwork, Network
from unspool.car import parse_car
from unspool.car.new_car import NEW_CAR
from unspool.store import Store

pytestmark = pytest.mark.firmware

# It runs for some 8 s.
CAR = NEW_CAR.replace("drop_mm = 500", "drop_mm = 300") + "[losses]\nrolling_coefficient = 0.02\n"
GONE = "No connection to unspool"
LOST = re.compile(r"^Link lost since \d\d:\d\d:\d\d$")
SLOW_MS = 20_000


@contextmanager
def opened(folder: Path) -> Iterator[tuple[Trackside, App, Network, Page]]:
    with (
        trackside(folder) as board,
        app(folder) as started,
        AppNetwork(started.address) as network,
        Store.open(started.store) as store,
        chromium() as browser,
    ):
        store.cars.save(CAR, "My car", "Ada")
        browser.pages[0].goto(network.address)
        yield board, started, network, browser.pages[0]


def says(page: Page, headline: str | re.Pattern[str], advice: str = "") -> None:
    expect(page.locator("[data-banner=headline]")).to_have_text(headline, timeout=SLOW_MS)
    expect(page.locator("[data-banner=advice]")).to_contain_text(advice)


def test_a_run_is_kept_whole_whatever_is_lost(tmp_path: Path) -> None:
    with opened(tmp_path) as (board, started, network, page):
        _record(page)
        says(page, "Ready to wind")
        board.wind(8.0)
        says(page, "Wound")
        _cable_out(board, page, board.plug, "hands and feet")
        says(page, "Wound")
        truth = board.let_go(parse_car(CAR, "the car"))
        says(page, "Running")
        _cable_out(board, page, lambda: board.plug(elsewhere=True), "goes on when it is back")
        says(page, "Running")
        page.reload()
        says(page, "Running")
        _stuck(network, page)
        says(page, "Running")
        _killed(started, page)
        says(page, "Attempt over", "It is saved")
        expect(page.locator("[data-live=lost]")).to_have_text("no edge missed in this attempt")
        with Store.open(started.store) as store:
            [row] = store.runs()
            train = store.run(row.id).train
        assert row.missing == 0
        ran = train.direction[-len(truth.train) :]  # before it may stand how winding ended
        np.testing.assert_array_equal(ran, truth.train.direction)


def _record(page: Page) -> None:
    expect(page.locator("[data-choice=car] input")).to_be_checked(timeout=SLOW_MS)
    expect(page.locator("[data-choice=board] input")).to_be_checked(timeout=SLOW_MS)
    page.get_by_role("button", name="Start the recording").click()


def _cable_out(board: Trackside, page: Page, plug: Callable[[], str], advice: str) -> None:
    name = board.unplug()
    says(page, LOST, name)
    says(page, LOST, advice)
    plug()


def _stuck(network: Network, page: Page) -> None:
    """Nothing arrives any more, and no socket is closed."""
    network.stick()
    says(page, GONE, "may be old")
    network.flow()


def _killed(started: App, page: Page) -> None:
    """Nothing can be pressed until it is back; the page then opens again by itself."""
    logbook = page.get_by_role("link", name="Logbook")
    started.kill()
    says(page, GONE, "may be old")
    expect(logbook).to_have_attribute("aria-disabled", "true")
    logbook.click(force=True)
    says(page, GONE, "Not done")
    expect(page.locator("h1")).to_contain_text("Track")
    started.start()
    goes_on = page.locator("[data-live=by_itself]")
    expect(goes_on).to_contain_text("It goes on by itself", timeout=SLOW_MS)
    expect(logbook).not_to_have_attribute("aria-disabled", "true")
