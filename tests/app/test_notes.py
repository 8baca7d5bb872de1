"""A builder's note: written on a run's page, shown in lists, by nobody who only looks on."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

import sample_run
from app_parts import filled_store, read_sample
from unspool.app import Access, LiveState, create_app
from unspool.app.permissions import may_change
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


@pytest.fixture
def client(store: Store) -> TestClient:
    return TestClient(create_app(store, None, read_sample).server, base_url=HOME)


def _words(store: Store, path: str) -> str:
    """What stands on the page, boxes included."""
    return str(page_for(path, "", Studies(RunCache(store, read_sample)), LiveState()).body)


def test_a_note_is_kept_and_shown(store: Store, client: TestClient) -> None:
    studies = Studies(RunCache(store, read_sample))
    assert "value=''" in str(page_for("/attempts/1", "", studies, LiveState()).body)
    answer = client.post("/attempts/1/note", content=" new string, 0.4 mm \u00e4\n".encode())
    assert (answer.status_code, answer.text) == (200, "Saved.")
    assert store.run("1").builder_note == "new string, 0.4 mm \u00e4"
    # the reading was kept from before, the note is the new one
    assert "new string, 0.4 mm" in str(page_for("/attempts/1", "", studies, LiveState()).body)
    assert "new string, 0.4 mm" in _words(store, "/logbook")
    assert "new string, 0.4 mm" in _words(store, "/side-by-side")
    assert client.post("/attempts/1/note", content=b"").text == "Saved: no note any more."
    assert store.run("1").builder_note == ""


@pytest.mark.parametrize(
    ("path", "note", "status"),
    [
        ("/attempts/99/note", b"x", 404),
        ("/attempts/x/note", b"x", 404),
        ("/attempts/1/note", b"x" * 501, 404),
        ("/attempts/1/note", b"x" * 100_000, 413),
    ],
)
def test_what_cannot_be_kept_is_said(
    store: Store, client: TestClient, path: str, note: bytes, status: int
) -> None:
    answer = client.post(path, content=note)
    assert answer.status_code == status
    assert answer.text.startswith("Not saved: ")
    assert len(answer.text.splitlines()) == 1
    assert store.run("1").builder_note == ""


def test_bytes_that_are_no_text_break_nothing(store: Store, client: TestClient) -> None:
    assert client.post("/attempts/1/note", content=b"a\xff\xfeb").status_code == 200
    assert store.run("1").builder_note == "a\ufffd\ufffdb"


def test_markup_stays_text(store: Store, client: TestClient) -> None:
    client.post("/attempts/1/note", content=b"<img src=x onerror=alert(1)>")
    page = page_for("/attempts/1", "", Studies(RunCache(store, read_sample)), LiveState())
    assert "dangerously" not in str(page.body)
    assert "<img src=x onerror=alert(1)>" in str(page.body)


def test_a_guest_reads_the_note_and_is_led_to_the_pin(store: Store) -> None:
    store.correct("1", {Field.NOTE: "new string"}, "Ada")
    token = may_change.set(False)
    try:
        words = _words(store, "/attempts/1")
    finally:
        may_change.reset(token)
    assert "new string" in words
    assert "Give the PIN to write a note" in words
    assert "Save the note" not in words


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
    live = LiveState(sample_run.sample_car())
    live.use_marks(lambda: marks.append("marked"))
    dash = create_app(store, live, read_sample, Access(shared=True))
    assert set(dash.callback_map) == READING_CALLBACKS | {"shown.data"}  # the last in the browser
    asks = [
        (method, route.path.replace("{run_id}", "1"))
        for route in dash.server.routes
        if isinstance(route, APIRoute)
        for method in route.methods
    ]
    posts = {path for method, path in asks if method not in ("GET", "HEAD", "OPTIONS")}
    assert {"/attempts/1/note", "/track/next-tier"} <= posts
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
