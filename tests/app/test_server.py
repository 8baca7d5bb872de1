"""The server as a browser, a stranger's page and a program meet it: over its port."""

from __future__ import annotations

import csv
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from http.client import HTTPResponse
from pathlib import Path
from typing import Any

import httpx
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from app_parts import LINK_UP, LIVE_KEY, edges, filled_store, make_live_state, read_sample
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.caching import KEEP
from unspool.errors import InputError
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.store import Store

ASK = json.dumps({"board": LIVE_KEY})
KNOWN = ("session", "version", "figure_version", "run")


@pytest.fixture(scope="module")
def live() -> LiveState:
    return make_live_state()


@pytest.fixture(scope="module")
def server(live: LiveState, tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageServer]:
    with (
        filled_store(tmp_path_factory.mktemp("store")) as store,
        PageServer(create_app(store, LiveBoards([live]), read_sample), port=0) as running,
    ):
        yield running


def _get(server: PageServer, path: str, **headers: str) -> HTTPResponse:
    request = urllib.request.Request(server.address.rstrip("/") + path, headers=headers)
    answer: HTTPResponse = urllib.request.urlopen(request, timeout=20)
    return answer


def _live(server: PageServer, **more: Any) -> Any:
    return connect(f"ws://127.0.0.1:{server.port}/live/points", **more)


@pytest.mark.parametrize(
    "path", ["/attempts/1", "/attempts/1/summary", "/cars/Sandpiper", "/logbook", "/"]
)
def test_deep_links_work_from_the_first_request_on(server: PageServer, path: str) -> None:
    page = _get(server, path)
    text = page.read().decode()
    assert page.status == 200
    assert '<html lang="en">' in text
    assert "base.css" in text
    assert "track.js" in text


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/attempts/77",
        "/attempts/77/summary",
        "/attempts/x",
        "/cars/Nobody",
        "/floors/No",
    ],
)
def test_what_is_not_there_is_answered_404_with_a_page(server: PageServer, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError) as refused:
        _get(server, path)
    assert refused.value.code == 404
    assert "base.css" in refused.value.read().decode()


def test_pages_may_load_nothing_from_elsewhere(server: PageServer) -> None:
    policy = _get(server, "/").headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "http" not in policy.replace("'self'", "")


def test_edges_can_be_taken_away(server: PageServer) -> None:
    answer = _get(server, "/attempts/1/edges.csv")
    assert answer.headers["content-disposition"] == 'attachment; filename="unspool-run-1.csv"'
    lines = [line for line in answer.read().decode().splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    assert len(rows) == 642
    assert float(rows[0]["time_s"]) == pytest.approx(0.2793, abs=2e-3)
    assert rows[0]["direction"] == "1"


def test_a_reading_can_be_taken_away(server: PageServer) -> None:
    answer = _get(server, "/attempts/1/reading.json")
    told = json.loads(answer.read())
    assert told["unspool"] == 1
    assert told["distance_m"] == pytest.approx(12.5467, abs=1e-3)
    assert [e["kind"] for e in told["events"]] == ["launch", "tier_change", "release", "stop"]


@pytest.mark.parametrize("path", ["/attempts/77/edges.csv", "/attempts/x/reading.json"])
def test_nothing_to_take_away_from_a_run_that_is_not_there(server: PageServer, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError) as refused:
        _get(server, path)
    assert refused.value.code == 404
    assert "Traceback" not in refused.value.read().decode()


def test_the_socket_brings_points_as_they_come(server: PageServer, live: LiveState) -> None:
    with _live(server) as page:
        page.send(ASK)
        first = json.loads(page.recv(timeout=10))
        keep = {k: first[k] for k in KNOWN}
        page.send(json.dumps(keep | {"have": len(first["x"]), "board": LIVE_KEY}))
        live(edges("fresh", 0, 5))
        news = json.loads(page.recv(timeout=10))
        assert (news["run"], news["from"], len(news["x"])) == ("fresh", 0, 5)


def test_silence_is_broken_by_a_heartbeat(server: PageServer) -> None:
    with _live(server) as page:
        page.send(ASK)
        first = json.loads(page.recv(timeout=10))
        page.send(json.dumps({k: first[k] for k in KNOWN} | {"board": LIVE_KEY}))
        assert json.loads(page.recv(timeout=10)) == {}


@pytest.mark.parametrize("text", ["not json", '{"have": "many"}', "[1]", '{"version": {}}'])
def test_a_socket_that_speaks_nonsense_is_closed(server: PageServer, text: str) -> None:
    with _live(server) as page:
        page.send(text)
        with pytest.raises(ConnectionClosed) as closed:
            page.recv(timeout=10)
        assert closed.value.rcvd is not None
        assert closed.value.rcvd.code == 1008


def test_another_sites_page_gets_no_socket(server: PageServer) -> None:
    with pytest.raises(InvalidStatus) as refused, _live(server, origin="http://elsewhere.example"):
        pass
    assert refused.value.response.status_code == 403


def test_our_own_page_gets_its_socket(server: PageServer) -> None:
    with _live(server, origin=f"http://127.0.0.1:{server.port}") as page:
        page.send(ASK)
        assert "state" in json.loads(page.recv(timeout=10))


def test_another_sites_page_may_change_nothing(server: PageServer) -> None:
    url = f"{server.address}_dash-update-component"
    headers = {"origin": "http://elsewhere.example", "content-type": "application/json"}
    request = urllib.request.Request(url, data=b"{}", headers=headers)
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=20)
    assert refused.value.code == 403


def _post(server: PageServer, path: str, data: bytes = b"", **headers: str) -> HTTPResponse:
    request = urllib.request.Request(
        server.address.rstrip("/") + path, data=data, headers=headers, method="POST"
    )
    answer: HTTPResponse = urllib.request.urlopen(request, timeout=20)
    return answer


def test_the_next_tier_is_marked_from_our_page_alone(server: PageServer, live: LiveState) -> None:
    marks: list[str] = []
    live.use_marks(lambda: marks.append("mark"))
    live(LINK_UP)
    live(PhaseChanged(Phase.WINDING, 2.0))
    with pytest.raises(urllib.error.HTTPError) as refused:
        _post(server, "/track/next-tier", origin="http://elsewhere.example")
    assert (refused.value.code, marks) == (403, [])
    home = f"http://127.0.0.1:{server.port}"
    answer = _post(server, "/track/next-tier", origin=home)
    assert answer.read() == b"Marked: from here on you wind tier start."
    assert marks == ["mark"]
    live(PhaseChanged(Phase.WAITING, 0.0))
    with pytest.raises(urllib.error.HTTPError) as refused:
        _post(server, "/track/next-tier", origin=home)
    assert (refused.value.code, marks) == (409, ["mark"])


def _empty(tmp_path: Path) -> Store:
    return Store.open(tmp_path / "empty.sqlite")


def test_a_taken_port_is_told_in_a_sentence(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other, _empty(tmp_path) as store:
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port} is taken by another program"):
            PageServer(create_app(store, None, read_sample), port=port)


@pytest.mark.parametrize(
    ("host", "port", "words"),
    [("203.0.113.9", 0, "no address 203.0.113.9"), ("127.0.0.1", 70000, "cannot be served")],
)
def test_an_impossible_address_is_told_in_a_sentence(
    tmp_path: Path, host: str, port: int, words: str
) -> None:
    with _empty(tmp_path) as store, pytest.raises(InputError, match=words):
        PageServer(create_app(store, None, read_sample), host=host, port=port)


def test_a_stopped_server_gives_its_port_back(tmp_path: Path) -> None:
    with _empty(tmp_path) as store:
        with (
            PageServer(
                create_app(store, LiveBoards([make_live_state()]), read_sample), port=0
            ) as server,
            _live(server) as page,
        ):
            page.send(ASK)
            page.recv(timeout=10)
        with PageServer(create_app(store, None, read_sample), port=server.port) as again:
            assert _get(again, "/").status == 200


SERVE = """
import sys
from app_parts import make_live_state, read_sample
from unspool.app import LiveBoards, PageServer, create_app
from unspool.store import Store
from pathlib import Path

with Store.open(Path(sys.argv[1])) as store:
    app = create_app(store, LiveBoards([make_live_state()]), read_sample)
    PageServer(app, port=int(sys.argv[2])).run()
print("closed")
"""


def test_ctrl_c_closes_cleanly_even_with_a_page_open(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    program = [sys.executable, "-c", SERVE, str(tmp_path / "s.sqlite"), str(port)]
    paths = {"PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
    pipe = subprocess.PIPE
    with subprocess.Popen(program, env=os.environ | paths, stdout=pipe, stderr=pipe) as server:
        try:
            with _patiently(lambda: connect(f"ws://127.0.0.1:{port}/live/points")) as page:
                page.send(ASK)
                page.recv(timeout=10)
                server.send_signal(signal.SIGINT)
                said, complained = server.communicate(timeout=60)
        finally:
            server.kill()
    assert (server.returncode, said.strip(), complained) == (0, b"closed", b"")


def _patiently(attempt: Callable[[], Any]) -> Any:
    """The attempt's result, tried until the server is up."""
    give_up = time.monotonic() + 60
    while True:
        try:
            return attempt()
        except OSError:
            assert time.monotonic() < give_up
            time.sleep(0.1)


def test_a_first_load_is_light_and_kept(server: PageServer) -> None:
    """With the drawing library, all that a browser ever fetches is well below 1.5 MB."""
    packed = {"accept-encoding": "gzip"}
    index = httpx.get(server.address, headers=packed)
    files = set(re.findall(r'(?:src|href|data-plotly)="(/[^"]+)"', index.text))
    weight = len(index.content)
    with httpx.Client(base_url=server.address.rstrip("/"), headers=packed) as client:
        for file in files:
            with client.stream("GET", file) as answer:
                weight += sum(map(len, answer.iter_raw()))
                assert answer.headers["cache-control"] == KEEP, file
    assert any("plotly" in file for file in files)
    assert 400_000 < weight < 1_000_000


def test_what_has_no_version_is_asked_for_again(server: PageServer) -> None:
    for path in ("", "assets/base.css", "attempts/1/edges.csv"):
        assert httpx.get(server.address + path).headers["cache-control"] == "no-cache"
