"""`make pictures`: draws the README's pictures again, from a run of the demo.

unspool records the virtual car as it would record a real one. Chromium takes one picture of the
live page while the car coasts, and others of the run's page afterwards. All figures are invented.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "tests"))

from playwright.sync_api import Page, expect

from chromium import DESK, PHONE, chromiums
from unspool.app import LiveState, PageServer, create_app
from unspool.car import parse_car, parse_track
from unspool.instrument.record import Recorder, RunContext
from unspool.store import Store
from unspool.virtual.demo.demo import Demo, start

PICTURES = HERE / "pictures"
COASTING_M = 9.0


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        Store.open(Path(folder) / "runs.sqlite") as store,
        start(speed=2.0) as demo,
    ):
        draw(demo, store)


def draw(demo: Demo, store: Store) -> None:
    car, track = parse_car(demo.car_text, "car"), parse_track(demo.track_text, "track")
    live = LiveState(car, track)
    context = RunContext(demo.car_text, demo.track_text, car.encoder.pulses_per_turn)
    recorder = Recorder(demo.link, store, context, [live])
    with PageServer(create_app(store, live), port=0) as server, chromiums(DESK, PHONE) as browsers:
        desk, phone = (browser.pages[0] for browser in browsers)
        desk.goto(server.address)
        phone.goto(server.address)
        recorder.start()
        try:
            picture_live(desk, phone)
            picture_run(desk)
        finally:
            recorder.stop()
            recorder.join(30)


def picture_live(desk: Page, phone: Page) -> None:
    expect(desk.locator("#track")).to_have_attribute("data-phase", "running", timeout=120_000)
    rolled = "parseFloat(document.querySelector('[data-live=value-0]').textContent)"
    give_up = time.monotonic() + 120
    while desk.evaluate(rolled) < COASTING_M and time.monotonic() < give_up:
        desk.wait_for_timeout(20)
    desk.screenshot(path=PICTURES / "live.png")
    phone.screenshot(path=PICTURES / "live-phone.png")


def picture_run(desk: Page) -> None:
    """The run's page down to the end of its pictures."""
    desk.get_by_role("link", name="See the attempt").click(timeout=120_000)
    pictures = desk.locator(".pictures")
    expect(pictures.locator(".main-svg").first).to_be_visible(timeout=120_000)
    box = pictures.bounding_box()
    assert box is not None
    desk.set_viewport_size({"width": DESK[0], "height": int(box["y"] + box["height"]) + 16})
    desk.wait_for_timeout(1000)
    desk.screenshot(path=PICTURES / "run.png")


if __name__ == "__main__":
    main()
