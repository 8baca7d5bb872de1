"""The address that the sliders ask: the run of another size, or a sentence that says why not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app_parts import car_text
from unspool.app import create_app
from unspool.app.reader import UNITS
from unspool.car import parse_car
from unspool.model import predict
from unspool.store import Store
from unspool.study.plan.trial import Trial, tried
from unspool.virtual.demo.scenario import CORRIDOR, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run

TRY = "/next-winding/try"


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    path: Path = tmp_path_factory.mktemp("store") / "runs.sqlite"
    with Store.open(path) as store:
        train = true_run(sandpiper(), corridor(), USUAL, seed=1).train
        store.add_import(train, car_text(), CORRIDOR.read_text(), source="1.csv")
        with TestClient(create_app(store, None).server, base_url="http://127.0.0.1") as opened:
            yield opened


def test_a_step_is_the_prediction_of_that_car(client: TestClient) -> None:
    answer = client.get(TRY, params={"run": "1", "weight_g": "700", "turns:run": "5"}).json()
    trial = Trial(weight_kg=0.7, turns={"run": 5.0})
    expected = predict(tried(parse_car(car_text(), "car.toml"), trial), corridor())
    assert max(answer["x"]) == pytest.approx(expected.furthest_m, abs=0.01)
    low, high = answer["stop"]
    assert low == pytest.approx(expected.distance_low_m, abs=1e-3)
    assert high == pytest.approx(expected.distance_high_m, abs=1e-3)


def test_the_plan_is_what_it_is_held_against(client: TestClient) -> None:
    asked = {"run": "1", "weight_g": "900", "planned_m": "1"}
    assert "farther than as planned" in client.get(TRY, params=asked).json()["said"]
    asked["planned_m"] = "500"
    assert "shorter than as planned" in client.get(TRY, params=asked).json()["said"]


def test_what_speaks_against_it_is_said(client: TestClient) -> None:
    """Twice the string that the drop unwinds."""
    assert client.get(TRY, params={"run": "1", "turns:run": "20"}).json()["against"]


def test_a_browser_that_reads_in_feet_gets_feet_and_its_files_stay_metric(
    client: TestClient,
) -> None:
    asked = {"run": "1", "weight_g": "700"}
    metric, file = client.get(TRY, params=asked).json(), client.get("/attempts/1/reading.json")
    cookie = {"cookie": f"{UNITS}=feet"}
    feet = client.get(TRY, params=asked, headers=cookie).json()
    assert feet["stop"] == pytest.approx([one / 0.3048 for one in metric["stop"]], abs=0.005)
    assert max(feet["x"]) == pytest.approx(max(metric["x"]) / 0.3048, abs=0.005)
    assert ("\u00a0ft" in feet["said"], "\u00a0m" in feet["said"]) == (True, False)
    assert client.get("/attempts/1/reading.json", headers=cookie).json() == file.json()
    unknown = client.get(TRY, params=asked, headers={"cookie": f"{UNITS}=cubits"}).json()
    assert unknown == metric


@pytest.mark.parametrize("asked", ["", "run=7", "run=1&weight_g=0", "run=1&turns:run=-3"])
def test_nonsense_gets_a_sentence(client: TestClient, asked: str) -> None:
    answer = client.get(f"{TRY}?{asked}")
    assert answer.status_code == 409
    assert answer.json()["said"].startswith("Not tried: ")
