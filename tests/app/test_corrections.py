"""A run's page shows what was said of the run, and lets those who may change it correct it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from dash import html
from fastapi.testclient import TestClient

from app_parts import car_text, filled_store, read_sample
from store.recorded import run_at
from unspool.app import create_app
from unspool.app.live_boards import LiveBoards
from unspool.app.permissions import may_change
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.corrections import correct, this_user
from unspool.errors import StoreError
from unspool.store import Field, Store
from unspool.virtual.demo.scenario import CORRIDOR

HOME = "http://127.0.0.1:8437"
FORM = "/attempts/1/correction"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> TestClient:
    return TestClient(
        create_app(store, None, read_sample).server, base_url=HOME, client=("127.0.0.1", 5000)
    )


def words(store: Store, path: str = "/attempts/1") -> str:
    return str(page_for(path, "", Studies(RunCache(store, read_sample)), LiveBoards()).body)


def send(client: TestClient, fields: Any, seen: Any = 0) -> Any:
    return client.post(FORM, content=json.dumps({"seen": seen, "fields": fields}))


def test_the_winding_and_the_tape_are_corrected(store: Store, client: TestClient) -> None:
    assert "Nothing was corrected so far." in words(store)
    fields = {"turns:start": "3", "turns:run": "5.25", "taped_m": "12.4"}
    answer = send(client, fields)
    assert (answer.status_code, answer.text) == (200, "Saved.")
    run = store.run("1")
    assert (run.said_turns, run.taped_m) == ((("start", 3.0), ("run", 5.25)), 12.4)
    page = words(store).replace("\u00a0", " ")
    assert "3.00 turns on start, 5.25 turns on run" in page
    assert "(as somebody said)" in page
    assert "by the tape" in page
    assert f", {this_user()}: " in page
    assert send(client, {"taped_m": ""}, run.revision).text == "Saved."
    assert store.run("1").taped_m is None


def test_a_page_that_is_open_follows_a_correction(store: Store, client: TestClient) -> None:
    studies = Studies(RunCache(store, lambda *parts: read_sample(*parts)))
    before = studies.runs.analysed("1").reading.winding
    send(client, {"turns:start": "3", "turns:run": "5.25"})
    assert before != (3.0, 5.25)
    assert studies.runs.analysed("1").reading.winding == (3.0, 5.25)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"turns:start": "0", "turns:run": "0"}, "found 0 on each tier"),
        ({"turns:start": "3"}, "Sandpiper has start, run"),
        ({"turns:a": "1", "turns:b": "2", "turns:c": "3"}, "Sandpiper has start, run"),
        ({"turns:start": "", "turns:run": "5"}, "the turns on start: found nothing"),
        ({"turns:start": "x", "turns:run": "5"}, 'the turns on start: found "x"'),
        ({"turns:start": [1], "turns:run": "5"}, "turns:start: found no text"),
        ({"taped_m": "-1"}, "taped distance: found -1\u00a0m"),
        ({"taped_m": "1e9"}, "taped distance: found 1000000000\u00a0m"),
        ({"taped_m": "nan"}, 'taped distance: found "nan"'),
        ({"taped_m": "9" * 5000}, "expected a number"),
        ({"timed_s": "1.234,5"}, "time by the stopwatch: found"),
        ({"weight_g": "1"}, "weight: found 1\u00a0g, expected a mass from 5 to 50000"),
        ({"circumference_mm": "38,8"}, "rolling circumference: found 38.8\u00a0mm"),
        ({"tags": ",".join(map(str, range(30)))}, "tags: found 30 of them"),
        ({"note": "x" * 501}, "note: found 501 characters"),
        ({"discarded": "perhaps"}, "discarded: found"),
        ({"colour": "red"}, "colour: found"),
        ({"car": "Curlew"}, "has no car 'Curlew'"),
        ({"car": "Dunlin", "car_version": "7"}, "Dunlin has no version 7"),
        ({"car": "Dunlin", "car_version": "x"}, "Dunlin has no version x"),
        ({"track": "Attic"}, "has no track 'Attic'"),
        (5, "no correction that a page"),
        (None, "no correction that a page"),
        ({"x" * 70_000: "1"}, "no correction that a page"),
    ],
)
def test_what_does_not_fit_is_one_sentence_and_changes_nothing(
    store: Store, client: TestClient, fields: Any, says: str
) -> None:
    answer = send(client, fields)
    assert (answer.status_code, len(answer.text.splitlines())) == (409, 1)
    assert says in answer.text
    assert store.history("1") == []


@pytest.mark.parametrize("body", [b"", b"[", b"[]", b"5", b"null", b"{}", b"\xff", b"[" * 10_000])
def test_other_bytes_are_refused(store: Store, client: TestClient, body: bytes) -> None:
    assert client.post(FORM, content=body).status_code == 409
    assert store.history("1") == []


def test_of_two_pages_the_second_is_refused(store: Store, client: TestClient) -> None:
    assert send(client, {"taped_m": "12"}).status_code == 200
    for seen in (0, -1, "0", True):
        answer = send(client, {"taped_m": "13"}, seen)
        assert answer.status_code == 409
        assert "corrected by somebody else" in answer.text
    assert store.run("1").taped_m == 12.0


def test_everything_else_is_corrected_with_decimal_commas(store: Store, client: TestClient) -> None:
    store.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
    store.cars.save(car_text("Sandpiper").replace("910", "930"), "Sandpiper", "Ada")
    fields = {
        "weight_g": "702,5",
        "circumference_mm": " 389.5 ",
        "timed_s": "17,25",
        "note": " wet \n",
        "tags": "wet floor, New String, WET FLOOR",
        "car": "sandpiper",
        "track": "corridor",
        "discarded": "yes",
    }
    assert send(client, fields).text == "Saved."
    run = store.run("1")
    assert (run.weight_g, run.circumference_mm, run.timed_s) == (702.5, 389.5, 17.25)
    assert (run.builder_note, run.tags) == ("wet", ("wet floor", "New String"))
    assert "mass_g = 930" in (run.car_text or "")
    assert run.track_text == CORRIDOR.read_text("utf-8")
    assert run.discarded
    back = {"car": "Sandpiper", "car_version": "1", "track": "", "weight_g": "", "discarded": "no"}
    assert send(client, back, None).text == "Saved."
    run = store.run("1")
    assert (run.car_text, run.track_text, run.weight_g) == (car_text("Sandpiper"), None, None)
    assert not run.discarded
    assert undo(client).text == "Saved."
    assert store.run("1").weight_g == 702.5


def undo(client: TestClient, seen: Any = None) -> Any:
    return client.post("/attempts/1/undo", content=json.dumps({"seen": seen, "fields": {}}))


def several(client: TestClient, runs: Any, fields: dict[str, str]) -> Any:
    return client.post(
        "/attempts/corrections", content=json.dumps({"runs": runs, "fields": fields})
    )


def test_several_runs_are_tagged_and_discarded_at_once(store: Store, client: TestClient) -> None:
    store.correct("1", {Field.TAGS: ("wet",)}, "Ada")
    both = {"1": None, "2": 0}
    answer = several(client, both, {"add_tags": "cold, WET", "discarded": "yes"})
    assert answer.json() == {"changed": {run: store.run(run).revision for run in both}}
    assert [row.tags for row in store.runs()] == [("wet", "cold"), ("cold", "WET")]
    assert [row.discarded for row in store.runs()] == [True, True]
    answer = several(client, {"1": None, "2": 0}, {"remove_tags": "Cold"})
    assert answer.status_code == 409  # run 2 was corrected since revision 0
    assert [row.tags for row in store.runs()] == [("wet", "cold"), ("cold", "WET")]
    assert several(client, {"1": None, "2": None}, {"remove_tags": "Cold"}).status_code == 200
    assert [row.tags for row in store.runs()] == [("wet",), ("WET",)]


def undo_several(client: TestClient, runs: Any) -> Any:
    return client.post("/attempts/undo", content=json.dumps({"runs": runs}))


def test_what_was_said_of_several_runs_is_undone_at_once(store: Store, client: TestClient) -> None:
    store.correct("1", {Field.DISCARDED: True}, "Ada")
    both = {"1": None, "2": None}
    changed = several(client, both, {"discarded": "yes"}).json()["changed"]
    assert changed == {"2": store.run("2").revision}  # run 1 was discarded already
    assert undo_several(client, changed).status_code == 200
    assert [row.discarded for row in store.runs()] == [True, False]


def test_nobody_elses_correction_is_undone(store: Store, client: TestClient) -> None:
    changed = several(client, {"1": None, "2": None}, {"weight_g": "650"}).json()["changed"]
    store.correct("2", {Field.NOTE: "mine"}, "Ada")
    assert undo_several(client, changed).status_code == 409
    assert [store.run(run).weight_g for run in "12"] == [650.0, 650.0]
    assert store.run("2").builder_note == "mine"


@pytest.mark.parametrize("runs", [None, {}, "1", {"1": None}, {"1": "x"}, {"9": 1}, {"1": True}])
def test_an_undo_names_what_it_undoes(store: Store, client: TestClient, runs: Any) -> None:
    store.correct("1", {Field.NOTE: "mine"}, "Ada")
    assert undo_several(client, runs).status_code == 409
    assert store.run("1").builder_note == "mine"


@pytest.mark.parametrize("runs", [None, {}, [], "1", {"9": None}, {"1": None, "x": None}])
def test_of_several_runs_all_must_be_there(store: Store, client: TestClient, runs: Any) -> None:
    assert several(client, runs, {"note": "x"}).status_code == 409
    assert [row.builder_note for row in store.runs()] == ["", ""]


def test_a_store_that_cannot_be_written_says_so(store: Store, client: TestClient) -> None:
    store._unwritable = StoreError("the disk that holds the store is full")
    for answer in (
        send(client, {"note": "x"}),
        several(client, {"1": None}, {"note": "x"}),
        undo(client),
    ):
        said = answer.text
        assert (answer.status_code, said) == (
            500,
            "Not saved: the disk that holds the store is full.",
        )


def test_what_somebody_else_said_since_is_not_undone(store: Store, client: TestClient) -> None:
    send(client, {"taped_m": "12"})
    seen = store.run("1").revision
    store.correct("1", {Field.NOTE: "wet"}, "Ada")
    assert undo(client, seen).status_code == 409
    assert undo(client, "1").status_code == 409
    assert store.run("1").builder_note == "wet"
    assert undo(client, store.run("1").revision).status_code == 200
    assert (store.run("1").builder_note, store.run("1").taped_m) == ("", 12.0)


def test_nothing_is_undone_twice(client: TestClient) -> None:
    answer = undo(client)
    assert (answer.status_code, "nothing was corrected" in answer.text) == (409, True)


def test_no_run_of_that_number(client: TestClient) -> None:
    answer = client.post(
        "/attempts/99/correction", content=b'{"seen": 0, "fields": {"taped_m": "1"}}'
    )
    assert "has no run" in answer.text


def test_a_discarded_run_says_so_and_is_no_choice(store: Store) -> None:
    assert "Sandpiper" in words(store, "/side-by-side")
    store.correct("1", {Field.DISCARDED: True}, "Ada")
    assert "Discarded: it counts for nothing." in words(store)
    assert "Sandpiper" not in words(store, "/side-by-side")
    studies = Studies(RunCache(store, read_sample))
    body = page_for("/losses", "?run=1", studies, LiveBoards()).body
    while page_for("/losses", "?run=1", studies, LiveBoards()).pending:
        pass
    body = page_for("/losses", "?run=1", studies, LiveBoards()).body
    assert "was discarded" in str(body)


def test_a_guest_sees_the_history_without_names_and_no_form(store: Store) -> None:
    store.correct("1", {Field.TAPED_M: 12.0}, "Ada")
    token = may_change.set(False)
    try:
        page = words(store)
    finally:
        may_change.reset(token)
    assert r"taped distance: 12\xa0m" in page
    assert "Ada" not in page
    assert "data-correct" not in page
    assert "Give the PIN to note or correct something" in page


def test_a_run_that_cannot_be_read_shows_its_history(store: Store) -> None:
    store.correct("1", {Field.TURNS: (("a", 1.0),)}, "Ada")  # of no tier of the car
    page = words(store)
    assert "its winding is said for the tiers a" in page
    assert "1.00" in page
    assert "Distance by the tape" in page


def test_the_form_shows_each_measure_and_tag_that_was_said(store: Store) -> None:
    changes = {Field.TIMED_S: 16.5, Field.WEIGHT_G: 700.0, Field.TAGS: ("cold", "new string")}
    correct(store, "1", changes, "Ada")
    shown = fields(store)
    expected = {"timed_s": "16.5", "weight_g": "700", "circumference_mm": ""}
    assert shown | expected | {"tags": "cold, new string"} == shown


def fields(store: Store) -> dict[str, str]:
    """What the fields of the page show."""
    page = page_for("/attempts/1", "", Studies(RunCache(store, read_sample)), LiveBoards())
    labels = [one for one in page.body._traverse() if isinstance(one, html.Label)]
    return {vars(one).get("data-field", ""): vars(one).get("data-was", "") for one in labels}


def test_the_form_offers_cars_and_floors_and_the_history_says_which(
    store: Store, client: TestClient
) -> None:
    store.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
    store.cars.save(car_text("Sandpiper").replace("910", "930"), "Sandpiper", "Ada")
    assert (fields(store)["car"], fields(store)["track"]) == ("1:Sandpiper", "")
    offered = words(store)
    assert [one for one in ("2:Sandpiper", "1:Dunlin", "1:Corridor") if one not in offered] == []
    send(client, {"car": "Sandpiper", "car_version": "2", "track": "Corridor"}, None)
    assert (fields(store)["car"], fields(store)["track"]) == ("2:Sandpiper", "1:Corridor")
    page = words(store)
    assert "car: Sandpiper, version 2 (before: Sandpiper, version 1)" in page
    assert "Corridor (before: level)" in page


def test_an_attempt_without_a_car_gets_one(store: Store, client: TestClient) -> None:
    run = store.save_found(store.begin_capture("virtual:").capture, run_at(10), None)
    path = f"/attempts/{run}"
    assert "No car yet" in words(store, path)
    sent = {"seen": 0, "fields": {"car": "Dunlin", "car_version": "1"}}
    assert client.post(f"{path}/correction", content=json.dumps(sent)).status_code == 200
    assert store.run(run).car_text == car_text("Dunlin")


def test_a_note_is_kept_and_shown_as_text(store: Store, client: TestClient) -> None:
    studies = Studies(RunCache(store, read_sample))
    markup = "<img src=x onerror=alert(1)>"
    for note in ("new string, 0.4 mm \u00e4", markup, ""):
        assert send(client, {"note": f" {note}\n"}, None).text == "Saved."
        assert store.run("1").builder_note == note
        # the reading was kept from before, the note is the new one
        page = str(page_for("/attempts/1", "", studies, LiveBoards()).body)
        assert note in page
        assert "dangerously" not in page
    send(client, {"note": markup}, None)
    assert client.get("/logbook/rows").json()["rows"][-1]["note"] == markup
    assert markup in words(store, "/side-by-side")
