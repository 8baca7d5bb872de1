"""How soon 2,000 attempts can be read in the Logbook in Chromium, and how well they scroll.

The time is from the address to the first attempt's row on the screen, with an empty cache. The
baseline is a page of plain HTML: a table with the same cells of the same attempts, not packed, from
a server of Python's own. It is opened in turn with the Logbook, and so is our page of two cars.
"""

from __future__ import annotations

import functools
import tempfile
import threading
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from html import escape
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from statistics import median

from playwright.sync_api import BrowserContext

from bench.figures import Figure
from chromium import chromium
from unspool.app import PageServer, create_app
from unspool.app.line_maker import LineMaker
from unspool.app.logbook import logbook_json
from unspool.kept.lines import Lines
from unspool.store import FoundRun, Store
from unspool.virtual.demo import add_earlier_runs

ATTEMPTS, TIMES = 2000, 7
SHOWN = ("name", "car", "winding", "weight", "distance", "taped", "tags", "note")
FIRST = datetime(2025, 3, 1, 9, tzinfo=UTC)
# Waits until `found` is on the screen, and for the frame that shows it.
ON_SCREEN = """found => new Promise(done => {
  const look = () => document.querySelector(found)
    ? requestAnimationFrame(() => setTimeout(() => done(performance.now())))
    : requestAnimationFrame(look);
  look();
})"""
# Scrolls by 400 px a frame: 95 of 100 frames take no longer than what is returned.
SCROLL = """() => new Promise(done => {
  const all = document.querySelector(".ag-grid-viewport"), took = [];
  let last = performance.now();
  const step = () => {
    const now = performance.now();
    took.push(now - last);
    last = now;
    all.scrollTop += 400;
    if (took.length < 120) requestAnimationFrame(step);
    else done(took.slice(1).sort((a, b) => a - b)[Math.floor(0.95 * 119)]);
  };
  requestAnimationFrame(step);
})"""


def figures() -> Iterable[Figure]:
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "store") as store:
        fill(store)
        (Path(folder) / "plain.html").write_text(_plain(store))
        with _PlainServer(folder) as plain, PageServer(create_app(store), port=0) as server:
            server.wait_until_ready()
            ours: list[float] = []
            theirs: list[float] = []
            cars: list[float] = []
            for _ in range(TIMES):
                ours.append(_opened(f"{server.address}logbook", "[role=row] .name"))
                theirs.append(_opened(f"{plain}/plain.html", "tr:nth-child(2)"))
                cars.append(_opened(f"{server.address}cars", "h1"))
            yield Figure("logbook_2000_attempts", median(ours), "ms", "plain HTML, not packed",
                         median(theirs))  # fmt: skip
            yield Figure("logbook_beside_cars", median(ours), "ms", "our page of two cars",
                         median(cars))  # fmt: skip
            yield Figure("logbook_scroll_frame_p95", _scrolled(server.address), "ms",
                         "a frame at 60 Hz", 1000.0 / 60.0)  # fmt: skip


def fill(store: Store, attempts: int = ATTEMPTS) -> None:
    """The demo's ten attempts over and over, on other days, with their lines."""
    add_earlier_runs(store)
    lines = Lines(store)
    ten = [(store.run(row.id), lines.make(row)) for row in store.runs()]
    capture = store.begin_capture("virtual:").capture
    for i in range(attempts - len(ten)):
        run, _ = ten[i % len(ten)]
        at = FIRST + timedelta(hours=i // 20 * 24, minutes=i % 20 * 12)
        train = replace(run.train, time_s=run.train.time_s + i)
        found = FoundRun(train, i + 1, 250_000.0, at, run.winding, None)
        store.save_found(capture, found, run.car_text, run.track_text)
    store.keep_lines(
        [
            replace(ten[i % len(ten)][1], run_id=row.id, basis=row.basis)
            for i, row in enumerate(store.runs())
        ]
    )


def _plain(store: Store) -> str:
    rows = logbook_json(store, LineMaker(Lines(store)))["rows"]
    cells = (
        "".join(f"<td>{escape(str(row.get(name, '')))}</td>" for name in SHOWN) for row in rows
    )
    head = '<!DOCTYPE html><link rel="icon" href="data:,"><table>'
    return head + "".join(f"<tr>{row}</tr>" for row in cells) + "</table>"


class _PlainServer:
    """Gives the address of a server of the folder's files."""

    def __init__(self, folder: str) -> None:
        quiet = type("Quiet", (SimpleHTTPRequestHandler,), {"log_message": lambda *_: None})
        make: Callable[..., SimpleHTTPRequestHandler] = functools.partial(quiet, directory=folder)
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), make)

    def __enter__(self) -> str:
        threading.Thread(target=self._server.serve_forever, daemon=True).start()
        return f"http://127.0.0.1:{self._server.server_port}"

    def __exit__(self, *_: object) -> None:
        self._server.shutdown()
        self._server.server_close()


def _opened(address: str, found: str) -> float:
    """Milliseconds from the address to what is found, in a browser that knows nothing yet."""
    with chromium() as browser:
        return _time(browser, address, found)


def _time(browser: BrowserContext, address: str, found: str) -> float:
    page = browser.new_page()
    page.goto(address, wait_until="commit")
    return float(page.evaluate(ON_SCREEN, found))


def _scrolled(address: str) -> float:
    with chromium() as browser:
        page = browser.new_page()
        page.goto(f"{address}logbook")
        page.locator("[role=row] .name").first.wait_for()
        return float(page.evaluate(SCROLL))
