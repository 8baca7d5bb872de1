"""Each page says what it knows, and what to do where it knows nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import plotly
import pytest

import sample_run
from app_parts import filled_store, make_live_state, read_sample
from unspool.app.live_boards import LiveBoards
from unspool.app.pages.page import Page
from unspool.app.routes import is_page, page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.errors import InputError
from unspool.finding import note, warning
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.findings import sentence
from unspool.store import Store

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
    lives = LiveBoards([live] if live else [])
    return page_for(path, search, Studies(RunCache(store, read)), lives)


def _text(page: Page) -> str:
    return " ".join(_texts(page.body)).replace("\u00a0", " ")


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


@pytest.mark.parametrize("run", ["99", "abc", "1%27", "0"])
def test_a_run_that_is_not_there_has_a_page_of_its_own(tmp_path: Path, run: str) -> None:
    with filled_store(tmp_path) as store:
        page = _page(store, f"/attempts/{run}")
    assert "This store has no such attempt" in _text(page)
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
        run = _page(store, "/attempts/1")
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
        for path in ("/attempts/1", "/logbook", "/attempts/1"):
            page_for(path, "", studies, None)
    assert len(calls) == 1
