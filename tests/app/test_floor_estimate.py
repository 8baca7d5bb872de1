"""A floor from attempts: what the form sends is checked, and what is found is kept as a floor."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from fastapi.testclient import TestClient

from app_parts import filled_store, read_sample
from unspool.app import create_app, floor_estimate
from unspool.app.floor_estimate import PATH
from unspool.app.jobs import Progress
from unspool.car.editing import edited
from unspool.car.new_car import NEW_FLOOR
from unspool.store import Field, Store

HOME = "http://127.0.0.1:8437"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Sandpiper")) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> TestClient:
    server = create_app(store, None, read_sample).server
    return TestClient(server, base_url=HOME, client=("127.0.0.1", 5000))


def ask(client: TestClient, pushes: Any, name: str = "Hall") -> Any:
    return client.post(PATH, content=json.dumps({"name": name, "pushes": pushes}))


def test_what_is_found_is_a_version_of_the_floor(
    store: Store, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[dict[str, float]] = []

    def estimated(_runs: object, name: str, starts: dict[str, float], _progress: object) -> str:
        given.append(starts)
        return edited(NEW_FLOOR, {"name": name})

    monkeypatch.setattr(floor_estimate, "_estimated", estimated)
    answer = ask(client, {"1": "0", "2": "18,5", "3": " "})
    assert answer.json()["address"] == "/floors/Hall"
    assert given == [{"1": 0.0, "2": 18.5}]
    assert len(store.tracks.one("Hall").versions) == 1


@pytest.mark.parametrize(
    ("pushes", "says"),
    [
        ({}, "type where each attempt began"),
        ({"1": ""}, "type where each attempt began"),
        ({"1": "here"}, 'found "here"'),
        ({"1": "-1"}, "begins at 0"),
        ({"1": "20000"}, "begins at 0"),
        ({"9": "0"}, "has no run '9'"),
        ({"2": "0"}, "was discarded"),
        (5, "no form that a page"),
        ({str(n): "0" for n in range(30)}, "type where each attempt began"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    store: Store, client: TestClient, pushes: Any, says: str
) -> None:
    store.correct("2", {Field.DISCARDED: True}, "Ada")
    answer = ask(client, pushes)
    assert (answer.status_code, answer.text.count("\n")) == (409, 0)
    assert says in answer.text
    assert store.tracks.listed() == []


def test_an_estimate_under_way_says_how_far_it_is_and_can_be_stopped(
    store: Store, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on, ended = Event(), Event(), Event()

    def estimated(_runs: object, name: str, _starts: object, progress: Progress) -> str:
        try:
            progress(lambda: "reading attempt 1 of 2")
            begun.set()
            assert go_on.wait(60.0)
            progress(lambda: "reading attempt 2 of 2")
        finally:
            ended.set()
        return edited(NEW_FLOOR, {"name": name})

    monkeypatch.setattr(floor_estimate, "_estimated", estimated)
    asked = {"name": "Hall", "pushes": {"1": "0"}, "ticket": "a"}
    first = client.post(PATH, content=json.dumps(asked))
    assert begun.wait(60.0)
    assert (first.status_code, "address" in first.json()) == (202, False)
    again = client.post(PATH, content=json.dumps(asked))
    assert "reading attempt 1 of 2" in again.json()["doing"]
    stopped = client.post(PATH, content=json.dumps({**asked, "stop": True}))
    assert "doing" not in stopped.json()
    go_on.set()
    assert ended.wait(60.0)
    assert store.tracks.listed() == []
