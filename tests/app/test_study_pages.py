"""Compare, losses and plan: from an address to the result from several runs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from math import prod
from pathlib import Path
from typing import Any
from urllib.parse import quote

import numpy as np
import pytest
from dash.development.base_component import Component
from fastapi.testclient import TestClient

from app_parts import car_text
from unspool.app import create_app
from unspool.app.jobs import Jobs
from unspool.app.live_boards import LiveBoards
from unspool.app.pages.page import Page
from unspool.app.pages.sizes_form import GUESTS_SETS, sizes_request
from unspool.app.pages.winding_form import plan_request
from unspool.app.permissions import may_change
from unspool.app.query import parse_query
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.car import parse_car
from unspool.cli.entry import run as run_command
from unspool.errors import InputError
from unspool.reading.events import analyse
from unspool.render.words.units import quantity
from unspool.store import Store
from unspool.study.sweep import Varied
from unspool.virtual.demo.scenario import CORRIDOR, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run

FOUR = "?run=1&run=2&run=3&run=4"


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Two runs each of two windings, whose rolling differs a little from run to run."""
    rng = np.random.default_rng(5)
    with Store.open(tmp_path_factory.mktemp("store") / "runs.sqlite") as opened:
        for i, turns in enumerate([(3.5, 5.3), (1.5, 8.3)] * 2):
            car = sandpiper().wound(turns)
            rolling = 0.012 * (1.0 + 0.01 * rng.standard_normal())
            hidden = replace(car, losses=replace(car.losses, rolling_coefficient=rolling))
            train = true_run(hidden, corridor(), USUAL, seed=i).train
            text = car_text().replace("turns = 3.5", f"turns = {turns[0]}")
            text = text.replace("turns = 5.3", f"turns = {turns[1]}")
            opened.add_import(train, text, CORRIDOR.read_text(), source=f"{i}.csv")
        yield opened


@pytest.fixture(scope="module")
def studies(store: Store) -> Studies:
    return Studies(RunCache(store, analyse), Jobs(patience_s=120.0))


def _page(studies: Studies, address: str) -> Page:
    path, _, search = address.partition("?")
    return page_for(path, search, studies, LiveBoards())


def _parts(part: Any) -> Iterator[Component]:
    if isinstance(part, (list, tuple)):
        for child in part:
            yield from _parts(child)
    elif isinstance(part, Component):
        yield part
        yield from _parts(getattr(part, "children", None))


def _text(page: Page) -> str:
    """What stands on the page, on one line."""
    found: list[str] = []

    def walk(part: Any) -> None:
        if isinstance(part, str):
            found.append(part)
        elif isinstance(part, (list, tuple)):
            for child in part:
                walk(child)
        elif part is not None:
            walk(getattr(part, "children", None))

    walk(page.body)
    return " ".join(found).replace("\u00a0", " ")


def _graphs(page: Page) -> dict[str, Any]:
    graphs = (p for p in _parts(page.body) if type(p).__name__ == "Graph")
    return {graph.id: graph.figure for graph in graphs}


def _fields(page: Page) -> dict[str, Any]:
    named = (p for p in _parts(page.body) if isinstance(getattr(p, "id", None), dict))
    return {p.id["field"]: p.value for p in named if "field" in p.id}


def test_losses_and_winding_begin_with_the_car_at_hand(studies: Studies) -> None:
    """No choice is asked for: the newest attempts of the last car give the losses."""
    losses, winding = _page(studies, "/losses"), _page(studies, "/next-winding")
    assert _fields(losses)["run"] == ["4", "3", "2", "1"]
    assert re.search(r"Of each 100 J, Sandpiper loses most to rolling: \d+", _text(losses))
    assert _fields(winding)["run"] == "4"
    assert _fields(winding)["learn"] == ["4", "3", "2", "1"]
    assert re.search(r"Wind [0-9.]+ turns on run, then [0-9.]+ on start\.", _text(winding))
    for page in (losses, winding):
        assert not page.pending
        assert page.place in ("losses", "next-winding")


@pytest.mark.parametrize("path", ["/side-by-side", "/losses", "/next-winding"])
def test_without_an_attempt_the_page_leads_to_track(tmp_path: Path, path: str) -> None:
    with Store.open(tmp_path / "runs.sqlite") as empty:
        page = _page(Studies(RunCache(empty, analyse)), path)
    links = [part.href for part in _parts(page.body) if type(part).__name__ == "Link"]
    assert links == ["/", "/logbook"]
    assert _fields(page) == {}


def test_the_newest_attempts_are_side_by_side_without_a_choice(studies: Studies) -> None:
    page = _page(studies, "/side-by-side")
    assert page.place == "side-by-side"
    assert _fields(page)["run"] == ["4", "3", "2", "1"]
    assert "picture-speeds" in _graphs(page)
    assert all(f"/attempts/{run}" in str(page.body) for run in range(1, 5))


def test_compared_runs(studies: Studies) -> None:
    page = _page(studies, f"/side-by-side{FOUR}&by=winding")
    text = _text(page)
    assert "1.5 start + 8.3 run against 3.5 start + 5.3 run" in text
    assert re.search(r"Different\. +Release: 0\.3\d+ m later", text)
    assert set(_graphs(page)) == {"picture-speeds", "picture-distance", "picture-top-speed"}
    assert _fields(page) == {"run": ["1", "2", "3", "4"], "by": "winding"}
    assert "± " in text


def test_one_run_is_nothing_to_compare(studies: Studies) -> None:
    page = _page(studies, "/side-by-side?run=2")
    assert _graphs(page) == {}
    assert _fields(page)["run"] == ["2"]


def test_losses_with_their_intervals_and_lines_for_the_car_file(studies: Studies) -> None:
    page = _page(studies, f"/losses{FOUR}")
    text = _text(page)
    assert "from the runs" in text
    assert set(_graphs(page)) == {"picture-modelled"}
    (lines,) = [p.children for p in _parts(page.body) if getattr(p, "id", None) == "losses-toml"]
    calibration = studies.calibration(("1", "2", "3", "4")).result()
    expected = calibration.calibrated(calibration.car)
    read = parse_car(_put_into_car(lines), "car.toml")
    assert read.losses.rolling_coefficient == pytest.approx(
        expected.losses.rolling_coefficient, rel=1e-3
    )
    assert read.losses.drive_efficiency == pytest.approx(expected.losses.drive_efficiency, rel=1e-3)
    assert read.drag_area_m2 == pytest.approx(expected.drag_area_m2, rel=1e-3)


def _put_into_car(lines: str) -> str:
    """The car's file with the lines where they say that they belong."""
    body, losses = lines.split("# In place of [losses]:")
    keys = "\n".join(line for line in body.splitlines() if " = " in line)
    text = car_text().partition("[losses]")[0]
    text = "\n".join(
        line
        for line in text.splitlines()
        if not line.startswith(("frontal_area_cm2", "drag_coefficient"))
    )
    return text.replace("[body]", f"[body]\n{keys}") + losses


def test_a_plan_with_what_runs_told(studies: Studies) -> None:
    page = _page(studies, "/next-winding?run=1&learn=1&learn=2&goal=farthest")
    text = _text(page)
    assert "Wind Sandpiper in this order" in text
    assert "It should stop at" in text
    assert "90 % from" in text
    names = [studies.runs.name(run) for run in ("2", "1")]
    assert "losses come from" in text
    assert all(name in text for name in names)
    assert "Keep feet and hands from under the weight" in text
    assert set(_graphs(page)) == {"picture-trial", "picture-changes"}
    fields = _fields(page)
    assert (fields["run"], fields["learn"], fields["goal"]) == ("1", ["1", "2"], "farthest")


def test_page_card_and_commands_say_one_interval(
    studies: Studies, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same runs, the same winding: the page, both cards, `plan` and `predict`."""
    asked = "?run=1&learn=1&learn=2&goal=farthest"
    runs = ["--runs", "1,2", "--store", str(store.place), "--track", str(CORRIDOR)]
    car = tmp_path / "car.toml"
    car.write_text(car_text())
    planned = _answer(["plan", str(car), *runs, "--json"], capsys)
    interval = (planned["distance_low_m"], planned["distance_high_m"])
    low, high = (quantity(x, "m").replace("\u00a0", " ") for x in interval)
    assert f"(90 % from {low} to {high})" in _text(_page(studies, f"/next-winding{asked}"))
    turns = {one["tier"]: one["turns"] for one in planned["turns"]}
    wound = ",".join(f"{name}={n}" for name, n in turns.items())
    made = tmp_path / "card.html"
    assert run_command(["card", str(car), *runs, "--turns", wound, "--out", str(made)]) == 0
    capsys.readouterr()
    client = TestClient(create_app(store, None).server, base_url="http://127.0.0.1")
    low, high = (quantity(x, "m", 1) for x in interval)
    attempts = "; ".join(studies.runs.name(run) for run in ("1", "2"))
    for sheet, learnt in (
        (made.read_text(encoding="utf-8"), "run 1; run 2"),
        (client.get(f"/next-winding/card.html{asked}").text, attempts),
    ):
        assert f"between {low} and {high})" in sheet
        assert f"from {learnt}</dd>" in sheet
    winding = parse_car(car_text(), "").wound(tuple(turns.get(t, 0.0) for t in ("start", "run")))
    text = car_text()
    for tier, before in zip(winding.drum, (3.5, 5.3), strict=True):
        text = text.replace(f"turns = {before}", f"turns = {tier.turns}")
    car.write_text(text)
    told = _answer(["predict", str(car), *runs, "--json"], capsys)
    assert (told["distance_low_m"], told["distance_high_m"]) == pytest.approx(interval)


def _answer(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    assert run_command(arguments) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


def test_a_plan_picks_among_what_the_builder_owns(studies: Studies) -> None:
    page = _page(studies, "/next-winding?run=1&goal=farthest&weights_g=300;+900,5&tier_mm:run=11")
    text = _text(page)
    assert "Fit the weight 900.5 g" in text
    assert "losses come from" not in text
    fields = _fields(page)
    assert (fields["weights_g"], fields["tier_mm:run"]) == ("300; 900,5", "11")
    assert fields["tier_mm:start"] == fields["wheels_mm"] == ""


def test_parts_that_gain_nothing_are_not_fitted(studies: Studies) -> None:
    text = _text(_page(studies, "/next-winding?run=1&goal=farthest&weights_g=300"))
    assert "None of the other parts that you own gains enough" in text
    assert "Fit the" not in text


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/next-winding?goal=farthest", "Choose one attempt"),
        ("/next-winding?run=1&goal=reach", "where the mark is"),
        ("/next-winding?run=1&goal=farthest&start_margin=0.5", "margin: found 0.5"),
        ("/next-winding?run=1&goal=fastest&mark=900", "Sandpiper"),
        ("/next-winding?run=1&goal=farthest&weights_g=heavy", 'found "heavy"'),
        ("/next-winding?run=1&goal=farthest&wheels_mm=-3", 'found "-3"'),
        ("/next-winding?run=1&goal=farthest&weights_g=0", "no size above 0"),
        ("/next-winding?run=1&goal=farthest&tier_mm:top=9", "the drum has no tier 'top'"),
        ("/side-by-side?run=1&run=99", "has no run '99'"),
        ("/losses?run=99", "has no run '99'"),
    ],
)
def test_what_cannot_be_studied_is_said(studies: Studies, address: str, said: str) -> None:
    page = _page(studies, address)
    assert said in _text(page)
    assert "--" not in _text(page)


def test_a_page_waits_for_slow_work(store: Store) -> None:
    page = _page(Studies(RunCache(store, analyse), Jobs(patience_s=0.0)), f"/losses{FOUR}")
    assert page.pending
    assert "Working on it: " in _text(page)


def test_downloads(store: Store) -> None:
    client = TestClient(create_app(store, None).server, base_url="http://127.0.0.1")
    table = client.get(f"/side-by-side.csv{FOUR}")
    assert table.headers["content-disposition"] == 'attachment; filename="unspool-compare.csv"'
    assert len(table.text.splitlines()) == 5
    lines = client.get(f"/losses.toml{FOUR}")
    assert "[losses]" in lines.text
    paper = client.get("/next-winding/card.pdf?run=1&goal=farthest")
    assert paper.content.startswith(b"%PDF")
    sheet = client.get("/next-winding/card.html?run=1&goal=farthest")
    assert (sheet.status_code, "Sandpiper" in sheet.text) == (200, True)
    trouble = client.get("/next-winding/card.html")
    assert trouble.status_code == 404
    assert 'href="/next-winding"' in trouble.text
    for address in ("/side-by-side.csv?run=99", "/losses.toml", "/next-winding/card.pdf"):
        refused = client.get(address)
        assert refused.status_code == 404
        assert "Traceback" not in refused.text


def test_losses_are_written_as_one_more_version(store: Store) -> None:
    """The car's own text stays, with the calibrated values in it; guests may not do it."""
    client = TestClient(create_app(store, None).server, base_url="http://127.0.0.1")
    before = store.cars.one("Sandpiper").current.text
    answer = client.post(f"/losses/write{FOUR}")
    assert answer.status_code == 200
    car = store.cars.one("Sandpiper")
    assert f"version {car.current.number}" in answer.text
    rolling = parse_car(car.current.text, "car.toml").losses.rolling_coefficient
    assert rolling == pytest.approx(0.012, rel=0.05)
    assert rolling != parse_car(before, "car.toml").losses.rolling_coefficient
    assert before.splitlines()[0] == car.current.text.splitlines()[0]
    assert client.post("/losses/write?run=999").status_code == 409


SIZES, CAR = "/next-winding/sizes", "run=1&goal=farthest"


def test_sizes_that_could_be_built_are_searched(studies: Studies) -> None:
    page = _page(studies, f"{SIZES}?{CAR}&vary_weight=500+to+900&vary_tier:run=12,5:16")
    text = _text(page)
    assert "The best set: weight 900" in text
    assert set(_graphs(page)) == {"picture-sweep", "picture-limits"}
    fields = _fields(page)
    assert (fields["vary_weight"], fields["vary_drop"]) == ("500 to 900", "")
    made = studies.sizes(sizes_request(studies, parse_query(CAR + "&vary_drop=400-700"))).result()
    (axis,) = made.axes
    assert (axis.what, axis.values[0], axis.values[-1]) == (Varied.DROP, 0.4, 0.7)


@pytest.mark.parametrize(
    "asked", ["", "&vary_weight=900+to+500", "&vary_drop=high", "&vary_wheel=0+to+5"]
)
def test_what_is_no_range_of_sizes_is_one_sentence(studies: Studies, asked: str) -> None:
    with pytest.raises(InputError):
        sizes_request(studies, parse_query(CAR + asked))
    page = _page(studies, f"{SIZES}?{CAR}{asked}")
    assert _graphs(page) == {}
    assert "vary_weight" in _fields(page)


def test_a_guest_tries_fewer_sizes(studies: Studies) -> None:
    query = parse_query(CAR + "&vary_weight=500+to+900&vary_drop=400+to+700")
    token = may_change.set(False)
    try:
        asked = sizes_request(studies, query)
    finally:
        may_change.reset(token)
    assert prod(len(axis.values) for axis in asked.axes) == GUESTS_SETS
    assert prod(len(axis.values) for axis in sizes_request(studies, query).axes) > GUESTS_SETS


def test_a_decimal_comma_is_understood_in_lists_of_sizes() -> None:
    for typed in ("500 640,5", "500; 640.5", "500, 640,5"):
        asked = plan_request(parse_query(f"run=1&goal=farthest&weights_g={quote(typed)}"))
        assert asked.owned.weights_g == (500.0, 640.5)


@pytest.mark.parametrize("typed", ["500,640", "500,640,700", "1,2,3"])
def test_a_list_that_could_be_read_in_two_ways_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="two ways"):
        plan_request(parse_query(f"run=1&goal=farthest&weights_g={quote(typed)}"))
