"""A roll-out from a car's page: pushes that were recorded give the wheel's circumference."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from app_parts import read_sample
from study.rollout.hand import Hand, push
from unspool.app import create_app
from unspool.app.live_boards import LiveBoards
from unspool.app.rolling import PATH
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.car import parse_car
from unspool.store import Store
from unspool.virtual.demo.scenario import DUNLIN, SANDPIPER

HOME = "http://127.0.0.1:8437"
CAR = SANDPIPER.read_text("utf-8").replace("388.2", "391")
PUSHES = {"1": "5", "2": "5,000", "3": "5.0"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Three pushes over 5 m by a wheel that rolls 388.2 mm, one attempt more, and another car."""
    trains = [push(Hand(), seed, disc_seed=1) for seed in range(4)]
    with Store.open(tmp_path / "s.sqlite") as opened:
        for n, train in enumerate(trains):
            moved = replace(train, time_s=train.time_s + n)
            opened.add_import(moved, CAR, source=f"{n}.csv")
        opened.add_import(trains[0], DUNLIN.read_text("utf-8"), source="other.csv")
        yield opened


@pytest.fixture
def client(store: Store) -> TestClient:
    server = create_app(store, None, read_sample).server
    return TestClient(server, base_url=HOME, client=("127.0.0.1", 5000))


def ask(client: TestClient, pushes: Any = PUSHES, **more: Any) -> Any:
    given = {"name": "Sandpiper", "tape_sd_mm": "3", "since": "", "write": False}
    return client.post(PATH, content=json.dumps({**given, "pushes": pushes, **more}))


def circumferences(store: Store) -> list[float | None]:
    return [store.run(row.id).circumference_mm for row in store.runs()]


def test_it_is_estimated_and_nothing_is_written(store: Store, client: TestClient) -> None:
    found = ask(client, {**PUSHES, "4": " "}).json()
    assert found["found"]
    assert "It rolls 388" in found["text"]
    assert circumferences(store) == [None] * 5
    assert len(store.cars.one("Sandpiper").versions) == 1


def test_it_is_written_into_the_car_and_its_attempts(store: Store, client: TestClient) -> None:
    assert "given to 4 attempts" in ask(client, write=True).json()["text"]
    found = circumferences(store)
    assert found[:4] == [pytest.approx(388.2, abs=0.8)] * 4
    assert found[4] is None
    car = store.cars.one("Sandpiper")
    rolled = 2e3 * 3.141592653589793 * parse_car(car.current.text, "x").encoder_wheel.radius_m
    assert rolled == pytest.approx(found[0], abs=0.01)
    assert len(car.versions) == 2
    assert store.run("1").car_text == CAR  # its own version stays


def test_only_attempts_since_a_day_get_it(store: Store, client: TestClient) -> None:
    assert "given to 0 attempts" in ask(client, write=True, since="2999-01-01").json()["text"]
    assert circumferences(store) == [None] * 5


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"pushes": {}}, "type the taped length"),
        ({"pushes": {"1": ""}}, "type the taped length"),
        ({"pushes": {"1": "five"}}, 'a taped length: found "five"'),
        ({"pushes": {"1": "-5"}}, "Not done"),
        ({"pushes": {"9": "5"}}, "has no run '9'"),
        ({"pushes": {"5": "5"}}, "another wheel"),
        ({"name": "Curlew"}, "has no car 'Curlew'"),
        ({"tape_sd_mm": "x"}, "how exactly you stop"),
        ({"tape_sd_mm": "-1"}, "expected 0 to 1000"),
        ({"since": "yesterday"}, "expected a day such as"),
        ({"pushes": 5}, "no form that a page"),
        ({"pushes": {str(n): "5" for n in range(40)}}, "type the taped length"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(
    store: Store, client: TestClient, change: dict[str, Any], says: str
) -> None:
    answer = ask(client, **({"write": True} | change))
    assert (answer.status_code, answer.text.count("\n")) == (409, 0)
    assert says in answer.text
    assert circumferences(store) == [None] * 5


def test_the_page_offers_the_attempts_of_the_car(store: Store) -> None:
    studies = Studies(RunCache(store, read_sample))
    page = str(page_for("/cars/Sandpiper", "", studies, LiveBoards()).body)
    assert [f"push:{run}" in page for run in range(1, 6)] == [True] * 4 + [False]
