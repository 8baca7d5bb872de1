"""`make pictures`: draws the pictures of the README and of the guides again.

unspool records the virtual car as it would record a real one. Chromium takes pictures of Track
while the car coasts, and of the other pages afterwards. All figures are invented.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "tests"))

from contest_pictures import picture_contest
from guide_pictures import PICTURES, picture_empty, picture_places, save, save_now
from playwright.sync_api import BrowserContext, Page, expect

from chromium import DESK, PHONE, chromiums
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.car import parse_car, parse_track
from unspool.instrument.record import Recorder, RunContext
from unspool.store import Store
from unspool.virtual.demo import add_contest, add_earlier_runs
from unspool.virtual.demo.demo import Demo, start

COASTING_M = 9.0


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        Store.open(Path(folder) / "runs.sqlite") as store,
        chromiums(DESK, PHONE) as browsers,
    ):
        picture_empty(store, browsers[0])
        add_earlier_runs(store)
        add_contest(store)
        with start(speed=2.0) as demo:
            draw(demo, store, *browsers)


def draw(demo: Demo, store: Store, at_desk: BrowserContext, at_phone: BrowserContext) -> None:
    car, track = parse_car(demo.car_text, "car"), parse_track(demo.track_text, "track")
    live = LiveState(car, track)
    context = RunContext(demo.car_text, demo.track_text, car.encoder.pulses_per_turn)
    recorder = Recorder(demo.link, store, context, [live])
    with PageServer(create_app(store, LiveBoards([live])), port=0) as server:
        desk, phone = at_desk.new_page(), at_phone.new_page()
        desk.goto(server.address)
        phone.goto(server.address)
        recorder.start()
        try:
            picture_track(desk, phone)
            picture_attempt(desk)
        finally:
            recorder.stop()
            recorder.join(30)
        picture_places(server.address, at_desk, at_phone)
        picture_contest(server.address, at_desk, at_phone)


def picture_track(desk: Page, phone: Page) -> None:
    expect(desk.locator("#track")).to_have_attribute("data-phase", "running", timeout=120_000)
    rolled = "parseFloat(document.querySelector('[data-live=value-0]').textContent)"
    give_up = time.monotonic() + 120
    while desk.evaluate(rolled) < COASTING_M and time.monotonic() < give_up:
        desk.wait_for_timeout(20)
    save_now(desk, "track")
    save_now(phone, "track-phone")


def picture_attempt(desk: Page) -> None:
    """An attempt's page down to the end of its first picture."""
    desk.get_by_role("link", name="See the attempt").click(timeout=120_000)
    expect(desk.locator(".main-svg").first).to_be_visible(timeout=120_000)
    save(desk, "attempt")


if __name__ == "__main__":
    main()
