"""How the memory of the app and of its page grows over 200 recorded runs.

The app is a process of its own with a virtual board whose time passes fast; Track is open in
Chromium all the time. Each reading of the page's heap follows a collection of what is free. The
slope is the straight line through the last half: before that, caches fill, of which the largest is
that of readings (run_cache.KEPT).
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from playwright.sync_api import CDPSession, Page

from bench.figures import Figure
from chromium import chromium
from cli.shell import environment
from unspool.store import Store

RUNS, EVERY, SPEED = 200, 10, 30.0
PATIENCE_S = 1200.0
# A store's file, runs and speed. The board repeats the runs of one script, wound a little less
# each time, so that no run is taken for another's copy.
APP = """
import sys, threading
from pathlib import Path
from unspool.app import PageServer, RecordedCar, Trackside, create_app
from unspool.car import parse_car, parse_track
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.store import Store
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script
path, runs, speed = Path(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])
script = wheel_script(sandpiper(), corridor(), runs=4, windings=[(0.5, 1.5), (1.0, 1.0)])
edges = [(t + k * script.end_s, d) for k in range(runs // 4) for t, d in script.edges]
line = Pipe()
link = VirtualLink(line)
link.pace = speed
texts = SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")
car, track = parse_car(texts[0], "car"), parse_track(texts[1], "track")
with Store.open(path) as store:
    trackside = Trackside.of(store)
    dash = create_app(store, trackside=trackside)
    trackside.recordings.start(RecordedCar(car, track, *texts), link)
    with PageServer(dash, port=0) as server:
        server.wait_until_ready()
        print(server.address, flush=True)
        sys.stdin.readline()
        VirtualBoard(line, edges, speed).start()
        sys.stdin.readline()
"""


def figures() -> Iterable[Figure]:
    seen = np.array(list(_grown()))
    runs, kept = seen[:, 0], slice(len(seen) // 2, None)
    for k, name in ((1, "memory of the app"), (2, "heap of its page"), (3, "nodes of its page")):
        slope = float(np.polyfit(runs[kept], seen[kept, k], 1)[0])
        unit, scale = ("1", 1.0) if k == 3 else ("kB", 1e-3)
        first = float(seen[kept, k][0])
        yield Figure(f"{name}, slope a run", slope * scale, unit, "in all", first * scale)


def _grown() -> Iterator[tuple[float, float, float, float]]:
    """Runs; bytes of the app; bytes and nodes of the page. At each tenth run."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "s.sqlite"
        with _app(Path(folder), path) as (process, address), chromium() as browser:
            page = browser.pages[0]
            page.goto(address)
            session = browser.new_cdp_session(page)
            session.send("Performance.enable")
            _say(process)
            with Store.open(path) as store:
                for runs in range(EVERY, RUNS + 1, EVERY):
                    _wait(store, runs, page)
                    yield (float(runs), _resident(process.pid), *_heap(session))


@contextmanager
def _app(home: Path, store: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    with subprocess.Popen(
        [sys.executable, "-c", APP, str(store), str(RUNS), str(SPEED)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=environment(home),
    ) as process:
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().strip()
        finally:
            process.kill()


def _say(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("\n")
    process.stdin.flush()


def _wait(store: Store, runs: int, page: Page) -> None:
    give_up = time.monotonic() + PATIENCE_S
    while len(store.runs()) < runs:
        if time.monotonic() > give_up:
            raise RuntimeError(f"the board's run {runs} did not come")
        page.wait_for_timeout(200)


def _resident(process: int) -> float:
    found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text())
    assert found is not None
    return float(found[1]) * 1e3


def _heap(session: CDPSession) -> tuple[float, float]:
    session.send("HeapProfiler.collectGarbage")
    named = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
    return float(named["JSHeapUsedSize"]), float(named["Nodes"])
