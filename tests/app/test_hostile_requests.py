"""Requests that no page of ours makes: refused with 4xx, in silence, and nobody waits for them."""

from __future__ import annotations

import json
import logging
import socket
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from websockets.exceptions import WebSocketException
from websockets.sync.client import connect

import sample_run
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.connections import Connections, bounded
from unspool.store import Store

CALLBACK = "_dash-update-component"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageServer]:
    folder = tmp_path_factory.mktemp("hostile")
    with Store.open(folder / "runs.sqlite") as store:
        app = create_app(store, LiveBoards([LiveState(sample_run.sample_car())]))
        with PageServer(app, port=0) as served:
            served.wait_until_ready()
            yield served


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner),
    max_leaves=12,
)
KEYS = ("output", "outputs", "inputs", "state", "changedPropIds", "parsedChangedPropsIds")
SHAPED = st.fixed_dictionaries(
    {"output": st.sampled_from(["main.children", "..main.children...", "", "x"])},
    optional=dict.fromkeys(KEYS[1:], JSON),
)


@settings(max_examples=80, deadline=None)
@given(JSON.map(json.dumps) | SHAPED.map(json.dumps) | st.text(max_size=40))
def test_malformed_callbacks_are_refused(server: PageServer, body: str) -> None:
    answer = httpx.post(
        server.address + CALLBACK,
        content=body.encode("utf-8", "replace"),
        headers={"content-type": "application/json"},
    )
    assert answer.status_code in (200, 204, 400), body
    assert answer.status_code == 400 or "main.children" in body


def test_refusals_leave_no_line_in_the_log(
    server: PageServer, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING):
        for body in (b"", b"{", b"[]", b"null", b'{"output": 1}', b"[" * 100_000):
            answer = httpx.post(server.address + CALLBACK, content=body)
            assert answer.status_code == 400
    assert caplog.records == []


def test_body_beyond_what_a_page_sends(server: PageServer) -> None:
    answer = httpx.post(server.address + CALLBACK, content=b"x" * 600_000)
    assert answer.status_code == 413


@pytest.mark.parametrize("origin", ["http://[", "null", "http://evil.example", "//", "\x7f"])
def test_origin_of_another_site_is_refused(server: PageServer, origin: str) -> None:
    answer = httpx.post(server.address + CALLBACK, content=b"{}", headers={"origin": origin})
    assert answer.status_code == 403


@pytest.mark.parametrize("host", ["[::1", "[::1].evil.example", "evil.example", "", "a b"])
def test_host_that_is_not_ours_is_refused(server: PageServer, host: str) -> None:
    answer = httpx.get(server.address, headers={"host": host})
    assert answer.status_code in (400, 403)


@pytest.mark.parametrize(
    "message", ["", "[", "[]", "7", '{"have": "x"}', b"\x00\xff", "[" * 3000, "x" * 5000]
)
def test_message_that_is_no_cursor_closes_the_socket(
    server: PageServer, message: str | bytes, caplog: pytest.LogCaptureFixture
) -> None:
    address = server.address.replace("http", "ws") + "live/points"
    with caplog.at_level(logging.WARNING), connect(address) as live:
        live.send(message)
        with pytest.raises(WebSocketException):
            live.recv(timeout=5.0)
    assert not [record for record in caplog.records if record.exc_info]


def test_forwarded_address_is_not_believed(server: PageServer) -> None:
    forwarded = {"x-forwarded-for": "192.0.2.7"}
    assert httpx.get(server.address + "logbook", headers=forwarded).status_code == 200


def test_half_sent_requests_do_not_stay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from unspool.app import serving

    monkeypatch.setattr(serving, "bounded", lambda bounds: bounded(bounds, header_s=0.3))
    with (
        Store.open(tmp_path / "runs.sqlite") as store,
        PageServer(create_app(store, None), port=0) as served,
    ):
        served.wait_until_ready()
        open_ones = [socket.create_connection(("127.0.0.1", served.port)) for _ in range(50)]
        for half in open_ones[::2]:
            half.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n")
        for half in open_ones:
            half.settimeout(10.0)
            assert half.recv(100) == b""
        assert httpx.get(served.address).status_code == 200


def test_guests_share_what_connections_there_are() -> None:
    connections = Connections(most=5, most_a_client=3)
    assert [connections.enter("guest") for _ in range(4)] == [True, True, True, False]
    assert [connections.enter("other") for _ in range(3)] == [True, True, False]
    assert all(connections.enter("127.0.0.1") for _ in range(20))
    connections.leave("guest")
    assert connections.enter("third")
