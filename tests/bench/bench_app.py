"""How soon the app's pages are readable in Chromium, what they weigh, and how soon a slider draws.

A page is readable when its heading is in the first frame that holds it. Track is loaded with an
empty cache, all others with what the browser kept of it. The baseline is a page of Dash alone: one
heading, and nothing of ours.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median

import numpy as np
from dash import Dash, html
from fastapi import FastAPI
from playwright.sync_api import CDPSession, Page, Request

from bench.figures import Figure
from chromium import chromium
from unspool.app import PageServer, create_app
from unspool.app.places import PLACES
from unspool.store import Store
from unspool.virtual.demo import add_earlier_runs

LOADS, STEPS = 5, 40
PATIENCE_MS, SETTLE_MS = 60_000, 1_000
# In each page from its start: when the first frame with a heading in its main part is out.
READABLE = """
window.readable = new Promise(done => {
  const out = () => {
    const after = new MessageChannel();
    after.port1.onmessage = () => done(performance.now());
    after.port2.postMessage(0);
  };
  const look = () => document.querySelector("main h1") ? out() : requestAnimationFrame(look);
  requestAnimationFrame(look);
})"""
# Steps the slider once, and gives the milliseconds to the frame with the new picture.
STEP = """async value => {
  const box = document.querySelector("[data-trial] input[type=range]");
  const plot = document.querySelector("#picture-trial .js-plotly-plot");
  const drawn = new Promise(done => plot.once("plotly_afterplot", () => {
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => done(performance.now());
      after.port2.postMessage(0);
    });
  }));
  const low = Number(box.min), high = Number(box.max), start = performance.now();
  box.value = low + value * (high - low);
  box.dispatchEvent(new Event("input", { bubbles: true }));
  return await drawn - start;
}"""


def figures() -> Iterable[Figure]:
    with _alone() as alone, _app() as ours:
        base_bytes, base_s = _cold(alone)
        for name, path in (("Track", ""), ("an attempt with its pictures", "attempts/1")):
            weight, readable_s = _cold(ours + path)
            yield Figure(
                f"first load of {name}", weight / 1e6, "MB", "Dash alone", base_bytes / 1e6
            )
            yield Figure(f"{name} readable, empty cache", readable_s, "s", "Dash alone", base_s)
        warm_s = _warm(alone, [""])[""]
        paths = [*(place.href[1:] for place in PLACES), "attempts/1", "cars/Sandpiper"]
        for path, taken_s in _warm(ours, paths).items():
            yield Figure(f"/{path} readable", taken_s, "s", "Dash alone", warm_s)
        steps_ms, alone_ms = _slider(ours)
        for name, share in (("median", 50), ("95th percentile", 95)):
            value, other = (float(np.percentile(t, share)) for t in (steps_ms, alone_ms))
            yield Figure(f"slider to its picture, {name}", value, "ms", "its answer alone", other)


@contextmanager
def _alone() -> Iterator[str]:
    dash = Dash("alone", server=FastAPI())
    dash.layout = html.Main(html.H1("Alone"))
    with PageServer(dash, port=0) as server:
        server.wait_until_ready()
        yield server.address


@contextmanager
def _app() -> Iterator[str]:
    """The app on the demo's earlier runs, whose readings and studies it has kept."""
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "s.sqlite") as store:
        add_earlier_runs(store)
        with PageServer(create_app(store), port=0) as server:
            server.wait_until_ready()
            _ask_all(server.address)
            yield server.address


def _ask_all(address: str) -> None:
    with chromium() as browser:
        page = browser.pages[0]
        for place in PLACES[2:5]:
            page.goto(address + place.href[1:])
            page.locator("main .answer .first").wait_for(timeout=PATIENCE_MS)


def _cold(address: str) -> tuple[float, float]:
    """Bytes on the wire, and seconds until it is readable; the median of some loads."""
    weights, taken = [], []
    with chromium() as browser:
        page = browser.pages[0]
        page.add_init_script(READABLE)
        session = browser.new_cdp_session(page)
        session.send("Network.enable")
        for _ in range(LOADS):
            session.send("Network.clearBrowserCache")
            with _weighed(session) as weighed:
                taken.append(_readable_s(page, address))
            weights.append(sum(weighed))
    return median(weights), median(taken)


@contextmanager
def _weighed(session: CDPSession) -> Iterator[list[float]]:
    found: list[float] = []

    def note(event: dict[str, float]) -> None:
        found.append(event["encodedDataLength"])

    session.on("Network.loadingFinished", note)
    yield found
    session.remove_listener("Network.loadingFinished", note)


def _readable_s(page: Page, address: str) -> float:
    page.goto(address)
    taken = float(page.evaluate("window.readable")) / 1e3
    page.wait_for_timeout(SETTLE_MS)  # else the next load waits for the pictures of this one
    return taken


def _warm(address: str, paths: list[str]) -> dict[str, float]:
    with chromium() as browser:
        page = browser.pages[0]
        page.add_init_script(READABLE)
        _readable_s(page, address)
        return {
            path: median(_readable_s(page, address + path) for _ in range(LOADS)) for path in paths
        }


def _slider(address: str) -> tuple[list[float], list[float]]:
    """Milliseconds to the picture of each step, and of the server's answer alone."""
    with chromium() as browser:
        page = browser.pages[0]
        answered: list[float] = []

        def note(request: Request) -> None:
            answered.append(request.timing["responseEnd"])

        page.goto(address + "next-winding?run=1&goal=farthest")
        page.locator("#picture-trial .main-svg").first.wait_for(timeout=PATIENCE_MS)
        page.wait_for_timeout(SETTLE_MS)
        page.on("requestfinished", note)
        steps = [float(page.evaluate(STEP, (k % 20) / 20)) for k in range(STEPS)]
    return steps, answered
