"""No guest writes anything, by whatever route."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi.routing import APIRoute

import sample_run
from app_parts import LIVE_KEY, filled_store, read_sample
from unspool.app import Access, LiveBoards, LiveState, Sharing, create_app
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.store import Field, Store

HOME = "http://127.0.0.1:8437"
GUEST = "192.0.2.7"
# Dash asks for pages here, guests too; what these two do is looked at below.
READING_CALLBACKS = {
    "..main.children...places.children...title.data...tick.disabled..",
    "address.href",
}
DASH_POSTS = {"/_dash-update-component"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


def _words(store: Store, path: str) -> str:
    """What stands on the page, boxes included."""
    return str(page_for(path, "", Studies(RunCache(store, read_sample)), LiveBoards()).body)


@contextmanager
def _counted_writes(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Every write to any store, however it was asked for."""
    seen: list[str] = []
    write = Store._write

    def counted(self: Store) -> Any:
        seen.append("write")
        return write(self)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "_write", counted)
        yield seen


def test_no_guest_writes_by_any_route(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A route or callback that is new fails here until somebody has judged it."""
    marks: list[str] = []
    live = LiveState(sample_run.sample_car(), key=LIVE_KEY)
    live.use_marks(lambda: marks.append("marked"))
    dash = create_app(store, LiveBoards([live]), read_sample, Sharing(Access(shared=True)))
    assert set(dash.callback_map) == READING_CALLBACKS | {"shown.data"}  # the last in the browser
    asks = [
        (method, route.path.replace("{run_id}", "1"))
        for route in dash.server.routes
        if isinstance(route, APIRoute)
        for method in route.methods
    ]
    posts = {path for method, path in asks if method not in ("GET", "HEAD", "OPTIONS")}
    assert {"/attempts/1/correction", "/track/next-tier"} <= posts
    assert {path for path in posts if path.startswith("/_dash")} <= DASH_POSTS

    async def visit() -> None:
        transport = httpx.ASGITransport(app=dash.server, client=(GUEST, 5000))
        async with httpx.AsyncClient(transport=transport, base_url="http://192.0.2.9") as guest:
            for method, path in asks:
                answer = await guest.request(method, path, content=b"mine")
                if path in posts and path not in (*DASH_POSTS, "/pin"):
                    assert answer.status_code == 403, path

    with _counted_writes(monkeypatch) as writes:
        asyncio.run(visit())
        for path in (
            "/",
            "/logbook",
            "/attempts/1",
            "/side-by-side?run=1&run=2",
            "/losses",
            "/next-winding",
            "/cars",
            "/cars/Sandpiper",
        ):
            _words(store, path)
        store.correct("2", {Field.NOTE: "this is how a write is seen"}, "Ada")
        assert writes == ["write"]
    assert marks == []
    assert store.run("1").builder_note == ""
