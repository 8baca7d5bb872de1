"""Bad input in every field, and a store that takes no more: a plain sentence, and nothing lost."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import event

from app_parts import car_text, filled_store, read_sample
from unspool.app import LiveBoards, create_app
from unspool.app.desk import CARS, FLOORS, Desk
from unspool.app.places import PLACES
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.store import Field, Store
from unspool.study.plan.limits import NAMES
from unspool.virtual.demo.scenario import CORRIDOR

HOME = "http://127.0.0.1:8437"
FLOOR = CORRIDOR.read_text("utf-8")
# None of these is a number that a field can mean.
WRONG = ("abc", "nan", "1e400", "1.2.3", "1.234,5", "\u0663", "<b>7</b>", "-7e99")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        opened.tracks.save(FLOOR, "Corridor", "Ada")
        yield opened


@pytest.fixture
def client(store: Store, caplog: pytest.LogCaptureFixture) -> Iterator[TestClient]:
    """Afterwards the server's log says nothing of a mistake of ours."""
    app = create_app(store, None, read_sample)
    with caplog.at_level(logging.WARNING):
        yield TestClient(app.server, base_url=HOME, client=("127.0.0.1", 5000))
    assert [record for record in caplog.records if record.exc_info] == []


def _is_plain(text: str) -> bool:
    return bool(text.strip()) and "Traceback" not in text and "Error(" not in text


def _numbers(desk: Desk) -> list[str]:
    """The paths of all fields that take a number, in the first table of a list."""
    fields = desk.fields.items()
    return [
        path.replace(".*.", ".0.")
        for path, field in fields
        if not (field.text or field.choices or path == "encoder.axle")
    ]


@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize(("desk", "text"), [(CARS, car_text()), (FLOORS, FLOOR)])
def test_a_wrong_number_is_a_fault_beside_its_field(
    client: TestClient, store: Store, desk: Desk, text: str, wrong: str
) -> None:
    before = len(store.cars.listed()), len(store.tracks.listed())
    for path in _numbers(desk):
        body = {"text": text, "base": text, "seen": 0, "page": desk.path, "fields": {path: wrong}}
        answer = client.post(f"{desk.path}:save", content=json.dumps(body))
        assert answer.status_code == 409, path
        faults: dict[str, str] = answer.json()["faults"]
        assert path in faults, (path, faults)
        assert _is_plain(faults[path])
    assert (len(store.cars.listed()), len(store.tracks.listed())) == before


@pytest.mark.parametrize("wrong", [*WRONG, "-1"])
def test_a_wrong_number_is_no_correction(client: TestClient, store: Store, wrong: str) -> None:
    names = ("weight_g", "circumference_mm", "taped_m", "timed_s", "turns:start", "turns:run")
    for name in names:
        sent = {"seen": store.run("1").revision, "fields": {name: wrong}}
        answer = client.post("/attempts/1/correction", json=sent)
        assert (answer.status_code, _is_plain(answer.text)) == (409, True), name
    assert store.history("1") == []


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_number_of_a_plan_is_said_and_stays_in_its_field(store: Store, wrong: str) -> None:
    studies = Studies(RunCache(store, read_sample))
    lists = () if "," in wrong else ("weights_g", "wheels_mm", "tier_mm:start")
    for name in ("mark", "step", *NAMES, *lists):
        goal = "fastest" if name == "mark" else "farthest"
        search = urlencode({"run": "1", "goal": goal, name: wrong})
        page = page_for("/next-winding", search, studies, LiveBoards())
        assert not page.pending, name
        assert str(page.body).count(repr(wrong)) == 1, name
        assert str(page.body).count("field wrong") == (name not in lists), name


def _refuse_writes(connection: Any, _record: object, _proxy: object) -> None:
    connection.execute("PRAGMA query_only = ON")


def _fill_up(connection: Any, _record: object, _proxy: object) -> None:
    """No page more than the store has: SQLite then says that the disk is full."""
    connection.execute("PRAGMA max_page_count = 1")


LONG = "# " + "x" * 40_000 + "\n"  # a small write may still fit on a full disk
LARGE: tuple[tuple[str, Any], ...] = (
    (
        "/cars:save",
        {"text": car_text("Curlew") + LONG, "base": "", "seen": 0, "page": "", "fields": {}},
    ),
    ("/floors:file?name=a.toml", FLOOR.replace("Corridor", "Attic") + LONG),
)
SMALL: tuple[tuple[str, Any], ...] = (
    ("/import?name=a.csv&car=Sandpiper", None),
    ("/attempts/1/correction", {"seen": None, "fields": {"note": "wet"}}),
    ("/attempts/1/undo", {"seen": None, "fields": {}}),
    ("/cars:put-away", {"name": "Sandpiper", "fields": {}}),
)


@pytest.mark.parametrize(
    ("trouble", "posts"), [(_refuse_writes, (*LARGE, *SMALL)), (_fill_up, LARGE)]
)
def test_a_store_that_takes_no_more_says_so_and_shows_what_it_has(
    client: TestClient, store: Store, trouble: Any, posts: tuple[tuple[str, Any], ...]
) -> None:
    edges = client.get("/attempts/1/edges.csv").text.splitlines(keepends=True)
    before = len(store.cars.listed())
    store.correct("1", {Field.NOTE: "dry"}, "Ada")
    event.listen(store._engine, "checkout", trouble)
    for path, sent in posts:
        body = sent if isinstance(sent, str) else json.dumps(sent)
        answer = client.post(path, content=body if sent else "".join(edges[:-9]))
        assert answer.status_code == 500, (path, answer.text)
        assert str(store.place) in answer.text
        assert _is_plain(answer.text)
    studies = Studies(RunCache(store, read_sample))
    for path in (*(place.href for place in PLACES), "/attempts/1", "/cars/Sandpiper"):
        assert "unspool made a mistake" not in str(page_for(path, "", studies, LiveBoards()).body)
    event.remove(store._engine, "checkout", trouble)
    assert (len(store.cars.listed()), len(store.runs()), store.check()) == (before, 2, [])
