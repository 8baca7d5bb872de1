"""Each page says what it knows, and what to do where it knows nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import plotly
import pytest

import sample_run
from app_parts import filled_store, make_live_state, read_sample
from unspool.app.live_state import LiveState
from unspool.app.pages.page import Page
from unspool.app.routes import is_page, page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.errors import InputError
from unspool.finding import note, warning
from unspool.reading.events.codes import ReadingCode
from unspool.reading.motion import Motion, follow
from unspool.render.words.findings import sentence
from unspool.store import Store
from unspool.study.measured_run import MeasuredRun

HOSTILE = "<img src=x onerror=alert(1)>"


def _texts(part: Any) -> list[str]:
    """All strings that a layout shows, in order."""
    if part is None or isinstance(part, (int, float)):
        return []
    if isinstance(part, str):
        return [part]
    if isinstance(part, (list, tuple)):
        return [text for child in part for text in _texts(child)]
    return _texts(getattr(part, "children", None))


def _links(page: Page) -> list[str]:
    flat = json.loads(json.dumps(page.body, cls=plotly.utils.PlotlyJSONEncoder))
    found: list[str] = []

    def walk(part: Any) -> None:
        if isinstance(part, dict):
            if isinstance(part.get("href"), str):
                found.append(part["href"])
            for child in part.values():
                walk(child)
        elif isinstance(part, list):
            for child in part:
                walk(child)

    walk(flat)
    return found


def _page(
    store: Store, path: str, search: str = "", live: Any = None, read: Any = read_sample
) -> Page:
    return page_for(path, search, Studies(RunCache(store, read)), live or LiveState())


def _text(page: Page) -> str:
    return " ".join(_texts(page.body)).replace("\u00a0", " ")


def test_the_list_shows_distance_car_winding_and_links(tmp_path: Path) -> None:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as store:
        page = _page(store, "/logbook")
    text = _text(page)
    assert "2 runs, newest first" in text
    assert text.index("Dunlin") < text.index("Sandpiper")
    # 12.5467 m in slots of 19.5 mm are 12.4888 m in this car's slots of 19.41 mm
    assert "12.49 m" in text
    assert "3.60 turns on start, 5.30 turns on run" in text
    assert {"/attempts/1", "/attempts/2"} <= set(_links(page))


def test_an_empty_list_says_how_to_fill_it(tmp_path: Path) -> None:
    with Store.open(tmp_path / "empty.sqlite") as store:
        text = _text(_page(store, "/logbook"))
    assert "No runs yet" in text
    assert "unspool record" in text
    assert "unspool import" in text


def test_a_long_list_comes_in_pages(tmp_path: Path) -> None:
    with filled_store(tmp_path, tuple(f"car {i}" for i in range(27))) as store:
        first, second = _page(store, "/logbook"), _page(store, "/logbook", "?page=2")
        beyond = _page(store, "/logbook", "?page=bad")
    assert "car 26" in _text(first)
    assert "/attempts/2" not in _links(first)
    assert "/logbook?page=2" in _links(first)
    assert "/attempts/2" in _links(second)
    assert "/logbook?page=1" in _links(second)
    assert _text(beyond) == _text(first)


def test_a_run_whose_reading_fails_is_one_bad_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(run: MeasuredRun) -> Motion:
        if run.car.name == "car 1":
            raise np.linalg.LinAlgError("Singular matrix")
        return follow(run.train, run.car)

    monkeypatch.setattr("unspool.kept.readings._followed", fail)
    with filled_store(tmp_path, ("car 0", "car 1", "car 2")) as store:
        text = _text(_page(store, "/logbook"))
    assert "LinAlgError: Singular matrix" in text
    assert "car 0" in text
    assert "car 2" in text


def test_a_run_says_what_stands_out_before_anything_else(tmp_path: Path) -> None:
    findings = (note(ReadingCode.CHATTER, edges=3), warning(ReadingCode.ROLLBACK, back_m=0.5))

    def read(*_: Any) -> Any:
        return sample_run.sample_reading(findings=findings)

    with filled_store(tmp_path) as store:
        text = _text(_page(store, "/attempts/1", read=read))
    said = [f"{found.severity.capitalize()}:  {sentence(found)}" for found in findings[::-1]]
    places = [text.index(one.replace("\u00a0", " ")) for one in said]
    assert places == sorted(places)
    assert places[-1] < text.index("Other pictures")


def test_a_run_shows_its_numbers_with_units_and_intervals(tmp_path: Path) -> None:
    with filled_store(tmp_path) as store:
        page = _page(store, "/attempts/1")
    text = _text(page)
    assert "release 3.450 ± 0.012 m 3.43 m 1.48 m/s" in text
    assert "start 0.00 m 1.36 m 0.500 ± 0.008 m/s²" in text
    assert "Wound 3.60 turns on start, 5.30 turns on run (counted)." in text
    assert "642 recorded, 642 used, 4 ignored, 0 missing" in text
    assert "/attempts/1/edges.csv" in _links(page)
    assert page.title.startswith("Sandpiper, ")
    assert page.title.endswith(", 1st")


def test_a_difference_shows_its_sign(tmp_path: Path) -> None:
    def read(*_: Any) -> Any:
        return sample_run.sample_reading(distance_m=13.0, duration_s=15.0)

    with filled_store(tmp_path) as store:
        text = _text(_page(store, "/attempts/1", read=read))
    assert "distance 13.00 m 12.55 m +0.45 m" in text
    assert "duration 15.00 s 16.22 s \u22121.22 s" in text


def test_a_run_that_cannot_be_read_says_why_and_keeps_its_edges(tmp_path: Path) -> None:
    def refuse(*_: Any) -> Any:
        raise InputError("Two edges are too few to read a run from.")

    with filled_store(tmp_path) as store:
        page = _page(store, "/attempts/1", read=refuse)
    assert "Two edges are too few" in _text(page)
    assert _links(page) == ["/attempts/1/edges.csv", "/logbook"]


def test_a_run_that_cannot_be_followed_stays_in_the_list_with_its_reason(tmp_path: Path) -> None:
    train = sample_run.sample_motion().train
    with filled_store(tmp_path) as store:
        store.add_import(train, 'name = "Half a car"', source="half.csv")
        text = _text(_page(store, "/logbook"))
    assert "not read Half a car the car of run 2" in text
    assert "12.49 m Sandpiper" in text


@pytest.mark.parametrize("run", ["99", "abc", "1%27", "0"])
def test_a_run_that_is_not_there_has_a_page_of_its_own(tmp_path: Path, run: str) -> None:
    with filled_store(tmp_path) as store:
        page = _page(store, f"/attempts/{run}")
    assert "This store has no such run" in _text(page)
    assert "/logbook" in _links(page)


def test_an_address_without_a_page_says_so_and_leads_on(tmp_path: Path) -> None:
    with filled_store(tmp_path) as store:
        page = _page(store, "/settings")
    assert "/settings" in _text(page)
    assert _links(page) == ["/", "/logbook"]


@pytest.mark.parametrize(
    ("path", "there"),
    [
        ("/", True),
        ("/logbook", True),
        ("/attempts/", False),
        ("/attempts/7", True),
        ("/run", False),
        ("/attempts/7/x", False),
        ("//evil", False),
    ],
)
def test_known_addresses(path: str, there: bool) -> None:
    assert is_page(path) is there


def test_without_a_recording_track_offers_one(tmp_path: Path) -> None:
    with filled_store(tmp_path) as store:
        text = _text(_page(store, "/"))
    assert "Start a recording" in text
    for step in ("Car", "Floor", "Board", "Check the sensors"):
        assert step in text


def test_the_live_page_opens_with_what_is_known(tmp_path: Path) -> None:
    with filled_store(tmp_path) as store:
        page = _page(store, "/", live=make_live_state())
    assert vars(page.body)["data-phase"] == "no_link"


def test_a_hostile_name_stays_a_string_everywhere(tmp_path: Path) -> None:
    with filled_store(tmp_path, (HOSTILE,)) as store:
        run, runs = _page(store, "/attempts/1"), _page(store, "/logbook")
    assert HOSTILE in _text(runs)
    assert HOSTILE in _text(run)
    flat = json.dumps(run.body, cls=plotly.utils.PlotlyJSONEncoder)
    assert "dangerously" not in flat


def test_a_run_is_read_once(tmp_path: Path) -> None:
    calls: list[object] = []

    def read(*parts: Any) -> Any:
        calls.append(parts)
        return read_sample(*parts)

    with filled_store(tmp_path) as store:
        studies = Studies(RunCache(store, read))
        for path in ("/logbook", "/attempts/1", "/logbook"):
            page_for(path, "", studies, None)
    assert len(calls) == 1
