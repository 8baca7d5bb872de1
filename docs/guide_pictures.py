"""Pictures of the app's pages for docs/ten-minutes.md. Stores come in, pictures go out."""

from __future__ import annotations

import base64
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import BrowserContext, Locator, Page, expect

from unspool.app import PageServer, Trackside, create_app
from unspool.store import Store

PICTURES = Path(__file__).parent / "pictures"
QUALITY = 80  # of WebP: letters stay clear, and a picture stays below 150 kB
SETTLE_MS = 1200  # pictures and fonts have come to rest by then
PATIENCE_MS = 120_000
STEPS = 10  # of the slider
SANDPIPERS = "run=5&run=6&run=7&run=8&run=9&run=10"  # of the demo's earlier runs: two windings
NEXT = "next-winding?goal=farthest&run=10&" + SANDPIPERS.replace("run", "learn")


def save(page: Page, name: str) -> None:
    """What the window shows, as WebP, which Playwright itself does not write."""
    page.wait_for_timeout(SETTLE_MS)
    save_now(page, name)


def save_now(page: Page, name: str) -> None:
    session = page.context.new_cdp_session(page)
    asked = {"format": "webp", "quality": QUALITY}
    picture = session.send("Page.captureScreenshot", asked)["data"]
    (PICTURES / f"{name}.webp").write_bytes(base64.b64decode(picture))
    session.detach()


def picture_empty(store: Store, desk: BrowserContext) -> None:
    """What somebody meets who opens unspool for the first time."""
    trackside = Trackside.of(store)
    app = create_app(store, trackside=trackside)
    try:
        with PageServer(app, port=0) as server:
            page = desk.new_page()
            page.goto(server.address)
            expect(page.locator("[data-choice=floor]")).to_be_visible(timeout=PATIENCE_MS)
            save(page, "guide-start")
            page.close()
    finally:
        trackside.close()


def picture_places(address: str, desk: BrowserContext, phone: BrowserContext) -> None:
    """The pages of a store with the demo's runs."""
    for browser, name, path, ready in (
        (desk, "guide-car", "cars/Sandpiper", _drawn),
        (desk, "guide-logbook", "logbook", _listed),
        (desk, "guide-side-by-side", f"side-by-side?{SANDPIPERS}", _answered),
        (phone, "guide-losses", f"losses?{SANDPIPERS}", _answered),
        (desk, "guide-next-winding", NEXT, _answered),
        (desk, "guide-sliders", NEXT, _tried),
    ):
        page = browser.new_page()
        page.goto(address + path)
        ready(page)
        save(page, name)
        page.close()


def _waits_for(selector: str) -> Callable[[Page], Locator]:
    def ready(page: Page) -> Locator:
        found = page.locator(selector).first
        expect(found).to_be_visible(timeout=PATIENCE_MS)
        return found

    return ready


_drawn = _waits_for("img[data-sketch]")
_listed = _waits_for("main table, main [role=grid]")
_answered = _waits_for("main .answer")
_picture = _waits_for("#picture-trial .js-plotly-plot")


def _tried(page: Page) -> None:
    """A heavier weight is tried: the slider has gone some steps to the right."""
    _picture(page)
    weight = page.locator("section.trial input[type=range]").first
    for _ in range(STEPS):
        weight.press("ArrowRight")
    page.locator("section.trial").evaluate("part => part.scrollIntoView()")
