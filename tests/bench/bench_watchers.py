"""From a judge's touch to the boards of results of 200 watchers, and what the watchers cost.

A watcher is what a browser is to the app: a socket that hears the contest's revision, and then a
request for the page. Each comes from an address of its own, as guests do. A touch is a distance by
tape.

The baseline is a bare Starlette app for as many watchers. Its socket says a number when one is
posted, and its page is a kept answer of the same size: what sockets and requests cost alone.
"""

from __future__ import annotations

import asyncio
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import numpy as np
from playwright.sync_api import Request
from websockets.asyncio.client import connect

from bench.figures import Figure
from chromium import chromium
from cli.shell import environment
from unspool.judging import Organiser
from unspool.store import Store

WATCHERS, TOUCHES, TEAMS, TRIES = 200, 5, 5, 4
SETTLE_S, PATIENCE_S = 3.0, 120.0
ASK = "_dash-update-component"
SAY, LIVE = "contest/1/say", "contest/1/live"
BARE = """
import asyncio, sys
import uvicorn
from starlette.applications import Starlette
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocketDisconnect
page = open(sys.argv[1], "rb").read()
waiting, revision = set(), [0]
async def say(request):
    await request.body()
    revision[0] += 1
    for one in waiting:
        one.set()
    return Response("{}")
async def ask(request):
    await request.body()
    return Response(page, media_type="application/json")
async def live(socket):
    await socket.accept()
    changed = asyncio.Event()
    waiting.add(changed)
    try:
        while True:
            changed.clear()
            await socket.send_json({"revision": revision[0]})
            await changed.wait()
    except WebSocketDisconnect:
        pass
    finally:
        waiting.discard(changed)
routes = [Route("/contest/1/say", say, methods=["POST"])]
routes += [Route("/_dash-update-component", ask, methods=["POST"])]
app = Starlette(routes=[*routes, WebSocketRoute("/contest/1/live", live)])
config = uvicorn.Config(app, port=0, log_level="error", access_log=False)
server = uvicorn.Server(config)
async def main():
    work = asyncio.create_task(server.serve())
    while not server.started:
        await asyncio.sleep(0.01)
    port = server.servers[0].sockets[0].getsockname()[1]
    print(f"bare: http://127.0.0.1:{port}/ (Ctrl-C ends)", flush=True)
    await work
asyncio.run(main())
"""


@dataclass
class Watched:
    """late_s: from each touch to each watcher's page. memory: bytes of the server, at rest."""

    late_s: list[list[float]] = field(default_factory=list)
    memory: float = 0.0

    @property
    def last_s(self) -> float:
        """Until the last watcher had the page, in the middle of all touches."""
        return float(np.median([max(late) for late in self.late_s]))

    @property
    def median_s(self) -> float:
        return float(np.median(np.concatenate(self.late_s)))

    @property
    def pages_a_second(self) -> float:
        return sum(len(late) for late in self.late_s) / sum(max(late) for late in self.late_s)


def figures() -> Iterable[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        with _app(home) as (process, address):
            body, page = _asked(address)
            (home / "page").write_bytes(page)
            one, many = (_watched(process, address, body, n) for n in (1, WATCHERS))
        with _bare(home) as (process, address):
            bare_one, bare = (_watched(process, address, body, n) for n in (1, WATCHERS))
    yield Figure("page of a board of results", len(page) / 1e3, "kB")
    name, base = f"{WATCHERS} watchers", "bare Starlette"
    yield Figure(
        "touch to its page, 1 watcher", 1e3 * one.last_s, "ms", base, 1e3 * bare_one.last_s
    )
    for what in ("median", "last"):
        value, other = (1e3 * getattr(seen, f"{what}_s") for seen in (many, bare))
        yield Figure(f"touch to page, {name}, {what}", value, "ms", base, other)
    yield Figure(f"pages a second, {name}", many.pages_a_second, "1/s", base, bare.pages_a_second)
    each, other = (
        (many.memory - alone.memory) / (WATCHERS - 1) / 1e3
        for many, alone in ((many, one), (bare, bare_one))
    )
    yield Figure(f"memory of the app a watcher, {name}", each, "kB", base, other)


@contextmanager
def _app(home: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    with Store.open(home / "s.sqlite") as store:
        made = Organiser.make(store, "Ada", "Corridor cup")
        for number in range(TEAMS):
            made.enter(f"Team {number}", "Sandpiper")
    words = ["app", "--store", str(home / "s.sqlite"), "--port", "0", "--no-browser", "--share"]
    with _running([sys.executable, "-m", "unspool", *words], home) as started:
        yield started


@contextmanager
def _bare(home: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    with _running([sys.executable, "-c", BARE, str(home / "page")], home) as started:
        yield started


@contextmanager
def _running(command: list[str], home: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The process, and the address that it prints first."""
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=environment(home)
    ) as process:
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().split()[1]
        finally:
            process.kill()


def _asked(address: str) -> tuple[bytes, bytes]:
    """What a browser's board sends after a touch, and what it gets."""
    with chromium() as browser:
        page, seen = browser.pages[0], list[Request]()
        page.goto(f"{address}contest/1/board")
        page.locator("h1").wait_for()
        page.wait_for_timeout(1e3 * SETTLE_S)
        page.on("requestfinished", lambda one: seen.append(one))
        with page.expect_response(lambda one: ASK in one.url):
            _touch(address, 0)
        page.wait_for_timeout(1e3)
        sent = [one for one in seen if ASK in one.url][-1]
        answer = sent.response()
        assert answer is not None
        return (sent.post_data or "").encode(), answer.body()


def _touch(address: str, number: int) -> None:
    tape = {"act": "tape", "entry": "4", "attempt": "1", "metres": f"{10 + number / 100}"}
    httpx.post(address + SAY, content=json.dumps(tape), timeout=PATIENCE_S).raise_for_status()


def _watched(process: subprocess.Popen[str], address: str, body: bytes, watchers: int) -> Watched:
    return asyncio.run(_watch(process, address, body, watchers))


async def _watch(
    process: subprocess.Popen[str], address: str, body: bytes, watchers: int
) -> Watched:
    found, crowd, work = Watched(), [Watcher(k, address, body) for k in range(watchers)], []
    for one in crowd:  # people come one by one
        work.append(asyncio.create_task(one.watch()))
        await asyncio.wait_for(one.ready.wait(), PATIENCE_S)
    for number in range(TOUCHES):
        await asyncio.sleep(SETTLE_S)
        for one in crowd:
            one.seen.clear()
        began = time.monotonic()
        await asyncio.to_thread(_touch, address, number)
        waits = asyncio.gather(*(one.seen.wait() for one in crowd))
        await asyncio.wait_for(waits, PATIENCE_S)
        found.late_s.append([one.seen_s - began for one in crowd])
    await asyncio.sleep(SETTLE_S)
    found.memory = _resident(process.pid)
    for task in work:
        task.cancel()
    await asyncio.gather(*work, return_exceptions=True)
    return found


class Watcher:
    """Asks for the page at each new revision, as the page's script does."""

    def __init__(self, k: int, address: str, body: bytes) -> None:
        self._here = f"127.0.{1 + k // 200}.{1 + k % 200}"
        self._address, self._body = address, body
        self.ready, self.seen, self.seen_s = asyncio.Event(), asyncio.Event(), 0.0

    async def watch(self) -> None:
        # a browser has closed its line from the touch before
        once = httpx.Limits(max_keepalive_connections=0)
        transport = httpx.AsyncHTTPTransport(local_address=self._here, limits=once)
        live = f"ws{self._address.removeprefix('http')}{LIVE}"
        origin = self._address.rstrip("/")
        async with (
            httpx.AsyncClient(transport=transport, timeout=PATIENCE_S) as http,
            connect(live, origin=origin, local_addr=(self._here, 0)) as socket,
        ):
            revision = json.loads(await socket.recv())["revision"]
            self.ready.set()
            async for message in socket:
                newest = json.loads(message)["revision"]
                if newest == revision:
                    continue
                revision = newest
                headers = {"content-type": "application/json", "origin": origin}
                answer = await _sent(http, self._address + ASK, self._body, headers)
                answer.raise_for_status()
                self.seen_s = time.monotonic()
                self.seen.set()


async def _sent(
    http: httpx.AsyncClient, address: str, body: bytes, headers: dict[str, str]
) -> httpx.Response:
    """Again if the line breaks, as browsers do: this machine may be busy with other work."""
    for _ in range(TRIES - 1):
        with suppress(httpx.TransportError):
            return await http.post(address, content=body, headers=headers)
    return await http.post(address, content=body, headers=headers)


def _resident(pid: int) -> float:
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return float(pages * os.sysconf("SC_PAGESIZE"))
