"""The whole host chain: a virtual board, the recorder, store and model, the page in Chromium."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from chromium import chromium
from unspool.app import LiveState, PageServer, create_app
from unspool.car import parse_car, parse_track
from unspool.instrument.record import Recorder, RunContext
from unspool.store import Store
from unspool.virtual.demo.demo import Demo, start

pytestmark = pytest.mark.browser

DRAWN = "document.querySelector('#track .plot')?.data?.[1]?.x?.length ?? 0"
SPEED = 4.0


@pytest.fixture(scope="module")
def browser() -> Iterator[BrowserContext]:
    with chromium() as context:
        yield context


@pytest.fixture
def demo() -> Iterator[Demo]:
    with start(speed=SPEED) as running:
        yield running


def test_a_virtual_cars_run_is_watched_and_read(
    demo: Demo, browser: BrowserContext, tmp_path: Path
) -> None:
    car, track = parse_car(demo.car_text, "car"), parse_track(demo.track_text, "track")
    with Store.open(tmp_path / "runs.sqlite") as store:
        live = LiveState(car, track)
        context = RunContext(demo.car_text, demo.track_text, car.encoder.pulses_per_turn)
        recorder = Recorder(demo.link, store, context, [live])
        with PageServer(create_app(store, live), port=0) as server:
            page = browser.pages[0]
            page.goto(server.address)
            recorder.start()
            try:
                _watch(page)
            finally:
                recorder.stop()
                recorder.join(30)
            _compare(page, demo)


def _watch(page: Page) -> None:
    """The run is seen growing, not only its end."""
    seen: dict[str, set[int]] = {}
    give_up = time.monotonic() + 120
    look = f"[document.querySelector('[data-banner=headline]')?.textContent ?? '', {DRAWN}]"
    while "Run over" not in seen and time.monotonic() < give_up:
        headline, drawn = page.evaluate(look)
        seen.setdefault(headline, set()).add(drawn)
        page.wait_for_timeout(20)
    assert list(seen)[-4:] == ["Winding", "Wound", "Running", "Run over"]
    assert len(seen["Running"]) > 8


def _compare(page: Page, demo: Demo) -> None:
    truth = demo.script.truths[0]
    pitch_m = truth.car.metres_per_edge
    page.get_by_role("link", name="See the attempt").click()
    expect(page.locator("h1")).to_contain_text(f"{truth.car.name}, ", timeout=60_000)
    shown = page.locator(".tile .value").first.inner_text()
    assert float(shown.removesuffix("\u00a0m")) == pytest.approx(
        float(truth.distance_m[-1]), abs=pitch_m / 2 + 0.005
    )
    wound = ", ".join(f"{t.turns:.2f}\u00a0turns on {t.name}" for t in truth.car.drum)
    expect(page.locator("article header")).to_contain_text(f"Wound {wound} (counted).")
