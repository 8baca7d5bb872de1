"""The worksheet's page, its marks and its paper."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from app_parts import car_text, filled_store
from unspool.app import create_app
from unspool.app.access import Access
from unspool.app.pages.worksheet import worksheet_page
from unspool.app.query import parse_query
from unspool.app.sharing import Sharing
from unspool.app.worksheets import CHECK, PAPER
from unspool.car import parse_car
from unspool.language import LANGUAGES
from unspool.store import Store
from unspool.study.worksheet import Ask, worksheet


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with filled_store(tmp_path_factory.mktemp("store")) as opened:
        yield opened


@pytest.fixture(scope="module")
def client(store: Store) -> Iterator[TestClient]:
    with TestClient(create_app(store).server, base_url="http://127.0.0.1") as opened:
        yield opened


def test_answers_are_marked_as_they_are_typed(client: TestClient) -> None:
    sheet = worksheet(parse_car(car_text(), "car.toml"))
    right = {one.ask: one.answer for one in sheet.questions}
    stored = f"{right[Ask.ENERGY_STORED]:.2f}".replace(".", ",")
    wrong = {Ask.STRING_WOUND: "much", Ask.STRONGEST_TIER: "none"}
    marks = client.get(CHECK, params={Ask.ENERGY_STORED: stored, **wrong}).json()["marks"]
    assert {ask: mark["right"] for ask, mark in marks.items()} == {
        Ask.ENERGY_STORED: True,
        Ask.STRING_WOUND: False,
        Ask.STRONGEST_TIER: False,
    }


def test_a_tape_brings_two_more_questions(client: TestClient) -> None:
    typed = {"forecast_m": "15", "taped_m": "12,5", Ask.FORECAST_ERROR: "20"}
    answer = client.get(CHECK, params=typed).json()
    assert [one["ask"] for one in answer["after"]] == [Ask.FORECAST_ERROR, Ask.SLOWED_BY]
    assert answer["marks"][Ask.FORECAST_ERROR]["right"]


@pytest.mark.parametrize("taped", ["0", "-3", "1e9", "far"])
def test_no_car_goes_so_far(client: TestClient, taped: str) -> None:
    assert client.get(CHECK, params={"taped_m": taped}).json()["after"] == []


def test_the_page_never_holds_the_answers(store: Store) -> None:
    page = str(worksheet_page(parse_query(""), store).body.to_plotly_json())
    assert "3.51" not in page
    assert "640" in page


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_paper_is_in_each_language(client: TestClient, language: str) -> None:
    texts = []
    for key in ("no", "yes"):
        data = client.get(PAPER, params={"language": language, "key": key}).content
        texts.append(" ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages))
    sign = "." if language == "en" else ","
    assert f"3{sign}51" in texts[1]
    assert f"3{sign}51" not in texts[0]


def test_the_key_is_not_for_those_who_look_on(store: Store) -> None:
    server = create_app(store, sharing=Sharing(Access(shared=True))).server
    with TestClient(server, base_url="http://10.0.0.1", client=("10.0.0.9", 1)) as guest:
        assert guest.get(PAPER, params={"key": "yes"}).status_code == 404
        assert guest.get(PAPER).status_code == 200


def test_an_unknown_car_is_said(client: TestClient) -> None:
    answer = client.get(CHECK, params={"car": "Nobody"})
    assert answer.status_code == 404
    assert "Nobody" in answer.text


def test_without_a_car_the_page_says_what_to_do(tmp_path: Path) -> None:
    with Store.open(tmp_path / "empty.sqlite") as store:
        page = worksheet_page(parse_query(""), store)
        assert "/cars" in str(page.body.to_plotly_json())


def test_pupils_answer_in_metric_units(client: TestClient) -> None:
    client.cookies.set("unspool_units", "feet")
    text = client.get(CHECK, params={"taped_m": "12,5"}).json()["after"][0]["text"]
    client.cookies.clear()
    assert "12.50\u00a0m" in text
