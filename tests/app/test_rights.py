"""The table of rights: every route and callback stands in it, and nobody writes without a right."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from starlette.routing import BaseRoute, Mount, WebSocketRoute

from app_parts import filled_store, read_sample
from cheap_pins import cheap
from unspool.app import Access, Sharing, create_app
from unspool.app.access import COOKIE
from unspool.app.rights import CALLBACKS, ROUTES, SAFE, SOCKET, Right
from unspool.pins import give
from unspool.store import Store

__all__ = ["cheap"]

ROLES = {
    "guest": (None, {Right.LOOK}),
    "judge": (Right.JUDGE, {Right.LOOK, Right.JUDGE}),
    "station": (Right.STATION, {Right.LOOK, Right.STATION}),
    "owner": (Right.OWN, {Right.LOOK, Right.JUDGE, Right.STATION, Right.OWN}),
}
# A PIN of this start, and one that is kept under a name.
WAYS = [(role, kept) for role in ROLES for kept in (False, True) if role != "guest" or not kept]
CALLBACK = "/_dash-update-component"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper",)) as opened:
        yield opened


def _keys(routes: list[BaseRoute]) -> set[tuple[str, str]]:
    """The keys of the table, by our own way to them: what the server has."""
    found = set()
    for route in routes:
        if isinstance(route, Mount):
            assert route.path == "/assets"
            continue
        is_socket = isinstance(route, WebSocketRoute)
        methods = [SOCKET] if is_socket else getattr(route, "methods", [])
        found |= {(method, getattr(route, "path", "")) for method in methods}
    return found


async def _statuses(
    server: FastAPI, asks: list[tuple[str, str, object]], token: str | None
) -> list[int]:
    """client: on another computer, perhaps with a session."""
    transport = httpx.ASGITransport(server, client=("192.0.2.7", 1), raise_app_exceptions=False)
    cookies = {COOKIE: token} if token else {}
    async with httpx.AsyncClient(
        transport=transport, base_url="http://192.0.2.9", cookies=cookies
    ) as http:
        return [(await http.request(how, path, json=sent)).status_code for how, path, sent in asks]


def _app(store: Store) -> tuple[FastAPI, Access]:
    access = Access(shared=True)
    return create_app(store, None, read_sample, Sharing(access)).server, access


async def _started(server: FastAPI) -> set[tuple[str, str]]:
    """Dash adds its route of all pages only as the server starts."""
    asks = iter(({"type": "lifespan.startup"}, {"type": "lifespan.shutdown"}))
    answers: list[str] = []

    async def receive() -> Any:
        return next(asks)

    async def send(answer: Any) -> None:
        answers.append(answer["type"])

    await server({"type": "lifespan", "asgi": {"version": "3.0"}, "state": {}}, receive, send)
    assert answers == ["lifespan.startup.complete", "lifespan.shutdown.complete"]
    return _keys(server.routes)


def test_the_table_has_every_route_and_callback_and_no_other(store: Store) -> None:
    dash = create_app(store, None, read_sample)
    assert asyncio.run(_started(dash.server)) == set(ROUTES)
    assert set(dash.callback_map) == set(CALLBACKS)
    for (method, path), right in ROUTES.items():
        if method not in (*SAFE, SOCKET) and path not in (CALLBACK, "/pin"):
            assert right is not Right.LOOK, path


def _token(store: Store, access: Access, role: str, kept: bool) -> str | None:
    right = ROLES[role][0]
    if right is None:
        return None
    pin = give(store, "Ana", role, "Ada") if kept else access.pins[right]
    return access.try_pin(pin, "192.0.2.7", "Ana")


@pytest.mark.usefixtures("cheap")
@pytest.mark.parametrize(("role", "kept"), WAYS)
def test_no_route_writes_without_its_right(store: Store, role: str, kept: bool) -> None:
    """Bodies are wrong on purpose: those who have the right get any answer but a refusal."""
    server, access = _app(store)
    held = ROLES[role][1]
    token = _token(store, access, role, kept)
    assert (token is None) == (role == "guest")
    posts = [key for key in _keys(server.routes) if key[0] not in (*SAFE, SOCKET)]
    posts = sorted(key for key in posts if key[1] not in (CALLBACK, "/pin"))
    asks = [(how, re.sub(r"\{\w+\}", "1", path), []) for how, path in posts]
    refused = [ROUTES[key] not in held for key in posts]
    # what an owner may do is done by other tests: here a demo or a board would begin
    asked = [n for n, key in enumerate(posts) if refused[n] or ROUTES[key] is Right.JUDGE]
    found = asyncio.run(_statuses(server, [asks[n] for n in asked], token))
    assert [status == 403 for status in found] == [refused[n] for n in asked]


async def _socket_opens(server: FastAPI, path: str, token: str | None) -> bool:
    cookie = [(b"cookie", f"{COOKIE}={token}".encode())] if token else []
    scope = {
        "type": "websocket",
        "path": path,
        "query_string": b"",
        "client": ("192.0.2.7", 1),
        "headers": [(b"host", b"192.0.2.9"), *cookie],
    }
    asks = iter(("websocket.connect",))
    answers: list[str] = []

    async def receive() -> Any:
        return {"type": next(asks, "websocket.disconnect"), "code": 1000}

    async def send(answer: Any) -> None:
        answers.append(answer["type"])

    await server(scope, receive, send)
    return answers[0] == "websocket.accept"


@pytest.mark.usefixtures("cheap")
@pytest.mark.parametrize(("role", "kept"), WAYS)
def test_no_callback_and_no_socket_without_its_right(store: Store, role: str, kept: bool) -> None:
    server, access = _app(store)
    held, token = ROLES[role][1], _token(store, access, role, kept)
    body = {"inputs": [], "changedPropIds": []}
    asks = [("POST", CALLBACK, body | {"output": outputs}) for outputs in CALLBACKS]
    found = asyncio.run(_statuses(server, list(asks), token))
    assert [status == 403 for status in found] == [
        right not in held for right in CALLBACKS.values()
    ]
    for (method, path), right in ROUTES.items():
        if method == SOCKET:
            path = path.replace("{contest}", "1")
            assert asyncio.run(_socket_opens(server, path, token)) == (right in held), path


def test_what_the_table_lacks_is_for_this_computer_alone(store: Store) -> None:
    server, access = _app(store)
    server.add_api_route("/new", lambda: "done", methods=["GET", "POST"])
    server.router.routes.insert(0, server.router.routes.pop())
    asks: list[tuple[str, str, object]] = [("GET", "/new", None), ("POST", "/new", {})]
    unknown = {"output": "store.data", "inputs": [], "changedPropIds": []}
    asks += [("POST", CALLBACK, unknown), ("POST", "/share/end", {}), ("PUT", "/", {})]
    token = access.let_in(Right.OWN)
    assert asyncio.run(_statuses(server, asks, token)) == [403] * 5


def test_a_judge_sets_no_contest_up(store: Store) -> None:
    server, access = _app(store)
    asks: list[tuple[str, str, object]] = [("POST", "/contest/new", {"name": "Cup"})]
    assert asyncio.run(_statuses(server, asks, access.let_in(Right.OWN))) == [200]
    say = "/contest/1/say"
    enter = {"act": "enter", "team": "Reed", "car": "Sandpiper"}
    judge = access.let_in(Right.JUDGE)
    assert asyncio.run(_statuses(server, [("POST", say, enter)], judge)) == [409]
    owner = access.let_in(Right.OWN)
    assert asyncio.run(_statuses(server, [("POST", say, enter)], owner)) == [200]
    assert asyncio.run(_statuses(server, [("POST", say, {"act": "next"})], judge)) == [200]
