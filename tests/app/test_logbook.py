"""The Logbook's rows: all attempts in one answer, with lines that are made once and kept."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fastapi.testclient import TestClient

import sample_run
from app_parts import car_text, filled_store, read_sample
from unspool.app import create_app
from unspool.app.access import Access
from unspool.app.line_maker import LineMaker
from unspool.app.logbook import logbook_json
from unspool.app.pages.logbook import logbook_page
from unspool.app.permissions import may_change
from unspool.app.sharing import Sharing
from unspool.ends import Ends
from unspool.finding import Severity, note, warning
from unspool.kept.lines import Lines, spark_of
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.logbook import STANDS_OUT, stands_out
from unspool.store import Field, Line, Store

HOME = "http://127.0.0.1:8437"
PATIENCE_S = 20.0


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


def client_of(store: Store, read: Any = read_sample) -> TestClient:
    server = create_app(store, None, read).server
    return TestClient(server, base_url=HOME, client=("127.0.0.1", 5000))


def whole(client: TestClient) -> dict[str, Any]:
    """The answer when no line is due any more."""
    give_up = time.monotonic() + PATIENCE_S
    while time.monotonic() < give_up:
        found: dict[str, Any] = client.get("/logbook/rows").json()
        # a page asks no more when none is due, so no row may then be without its line
        assert sum(row.get("due", False) for row in found["rows"]) <= found["due"]
        if not found["due"]:
            return found
        time.sleep(0.02)
    raise AssertionError("the lines are never made")


def rows_of(client: TestClient) -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in whole(client)["rows"]}


def test_an_attempt_is_shown_with_all_that_a_table_needs(store: Store) -> None:
    store.correct("1", {Field.TAPED_M: 12.5, Field.TAGS: ("wet", "cup")}, "Ada")
    store.correct("1", {Field.NOTE: "new string", Field.WEIGHT_G: 655.0}, "Ada")
    row = rows_of(client_of(store))["1"]
    assert row["name"].startswith("Sandpiper, ")
    assert row["name"].endswith(", 1st")
    assert (row["car"], row["floor"], row["note"]) == ("Sandpiper", "", "new string")
    assert (row["tags"], row["taped_m"], row["weight_g"]) == (["wet", "cup"], 12.5, 655.0)
    assert row["turns"] == [["start", pytest.approx(3.6)], ["run", pytest.approx(5.3)]]
    assert row["distance_m"] == pytest.approx(12.5467, abs=1e-3)
    assert (row["whole"], row["discarded"], row["fault"]) == (True, False, "")
    assert row["revision"] == store.run("1").revision
    assert 95 <= max(row["spark"]) <= 100


def test_the_newest_comes_first(store: Store) -> None:
    ids = [row["id"] for row in whole(client_of(store))["rows"]]
    assert ids == ["2", "1"]


def test_the_first_answer_is_short_if_there_are_more(store: Store) -> None:
    client = client_of(store)
    every = whole(client)
    first = client.get("/logbook/rows?first=1").json()
    assert first == {"rows": every["rows"][:1], "more": True}
    assert client.get("/logbook/rows?first=3").json() == every


def test_before_its_line_is_made_an_attempt_is_there_already(store: Store) -> None:
    maker = LineMaker(Lines(store, read_sample), busy=lambda: True)  # somebody records
    first = logbook_json(store, maker)
    assert first["due"] == 2
    assert [row["due"] for row in first["rows"]] == [True, True]
    assert [row["car"] for row in first["rows"]] == ["Dunlin", "Sandpiper"]


def test_later_answers_bring_only_what_was_made_since(store: Store) -> None:
    client = client_of(store)
    turn = whole(client)["turn"]
    after = f"/logbook/rows?after={turn}"
    before = client.get(after).json()
    assert (before["rows"], before["state"]) == ([], [2, 0])
    store.correct("2", {Field.WEIGHT_G: 655.0}, "Ada")
    assert client.get(after).json()["state"] == [2, store.run("2").revision]
    whole(client)
    (row,) = client.get(after).json()["rows"]
    assert (row["id"], row["weight_g"]) == ("2", 655.0)
    for bad in ("x", "-1", "", "9" * 30):
        assert len(client.get(f"/logbook/rows?after={bad}").json()["rows"]) == 2


def test_lines_are_kept_in_the_store_and_made_again_after_a_correction(tmp_path: Path) -> None:
    with filled_store(tmp_path) as store:
        first = rows_of(client_of(store, None))["1"]
        (kept,) = store.lines().values()
        assert kept.distance_m == first["distance_m"]
        maker = LineMaker(Lines(store))
        assert logbook_json(store, maker)["due"] == 0  # another program reads nothing again
        store.correct("1", {Field.CIRCUMFERENCE_MM: 400.0}, "Ada")
        stale = logbook_json(store, LineMaker(Lines(store), busy=lambda: True))
        assert (stale["due"], "distance_m" in stale["rows"][0]) == (1, False)
        again = rows_of(client_of(store, None))["1"]
        assert again["distance_m"] > 1.02 * first["distance_m"]
        assert store.lines()["1"].basis == store.run("1").basis != kept.basis


def test_a_line_of_other_code_is_shown_until_it_is_made_again(store: Store) -> None:
    old = [
        Line(row.id, row.basis, "older", distance_m=7.0, ends=Ends.CUT_OFF) for row in store.runs()
    ]
    store.keep_lines(old)
    found = logbook_json(store, LineMaker(Lines(store), busy=lambda: True))
    assert found["due"] == 2
    assert [(row["distance_m"], row["whole"]) for row in found["rows"]] == [(7.0, False)] * 2


def test_a_run_that_cannot_be_read_says_why_and_the_others_stay(store: Store) -> None:
    train = sample_run.sample_motion().train
    store.add_import(train, 'name = "Half a car"', source="half.csv")
    later = PulseTrain(train.time_s + 9.0, train.direction, train.number)
    damaged = store.add_import(later, car_text("Damaged"), source="damaged.csv").run_id
    with closing(sqlite3.connect(store.place)) as direct, direct:
        direct.execute(f"UPDATE runs SET time_s = x'00', edges = 'x' WHERE id = {damaged}")

    def read(given: PulseTrain, car: Any, *others: Any) -> Any:
        if car.name == "Dunlin":
            raise np.linalg.LinAlgError("Singular matrix")
        return read_sample(given, car, *others)

    rows = rows_of(client_of(store, read))
    assert "LinAlgError: Singular matrix" in rows["2"]["fault"]
    assert "the car of run 3" in rows["3"]["fault"]
    assert "damaged in the store (edges)" in rows[damaged]["fault"]
    assert (rows["1"]["fault"], rows["1"]["distance"]) == ("", "12.55\u00a0m")


def test_what_stands_out_has_words_for_each_code() -> None:
    assert set(STANDS_OUT) == set(ReadingCode)
    assert len(set(STANDS_OUT.values())) == len(STANDS_OUT)


def test_of_the_sensors_only_warnings_stand_out() -> None:
    found = [warning(ReadingCode.SLIPPING), note(ReadingCode.ROLLBACK), note(ReadingCode.CHATTER)]
    shown = stands_out([(one.code, one.severity) for one in found])
    assert [(one.code, one.grave) for one in shown] == [("slipping", True), ("rollback", False)]
    assert stands_out([("chatter", Severity.WARNING), ("of_a_newer_unspool", "note")])[0].grave


def test_a_spark_has_even_distances_and_shares_of_the_peak() -> None:
    spark = spark_of(np.array([0.0, 1.0, 4.0]), np.array([0.0, 2.0, 0.0]))
    assert (spark[0], spark[3], spark[6], spark[12], spark[-1]) == (0, 50, 100, 67, 0)
    assert spark_of(np.array([0.0]), np.array([0.0])) == ()
    assert spark_of(np.array([0.0, 1.0]), np.zeros(2)) == ()


def test_the_demos_attempts_are_loaded_once(tmp_path: Path) -> None:
    with Store.open(tmp_path / "empty") as store:
        client = client_of(store)
        assert client.get("/logbook/rows").json()["rows"] == []
        for _ in range(2):
            assert client.post("/logbook/demo").status_code == 200
            assert len(store.runs()) == 10
            assert {one.name for one in store.cars.listed()} == {"Sandpiper", "Dunlin"}


def test_a_guest_reads_and_changes_nothing(store: Store) -> None:
    server = create_app(store, None, read_sample, Sharing(Access(shared=True))).server
    guest = TestClient(server, base_url="http://192.0.2.9", client=("192.0.2.77", 5000))
    assert len(guest.get("/logbook/rows").json()["rows"]) == 2
    for path in ("/logbook/demo", "/attempts/corrections", "/attempts/undo"):
        assert guest.post(path, content="{}").status_code == 403
    assert len(store.runs()) == 2
    token = may_change.set(False)
    try:
        page = str(logbook_page(store).body)
    finally:
        may_change.reset(token)
    assert ("data-may=''" in page, "data-send" in page, "data-drop" in page) == (True, False, False)
    assert "data-may='yes'" in str(logbook_page(store).body)


def test_figures_are_said_in_the_units_of_the_browser(store: Store) -> None:
    client = client_of(store)
    whole(client)
    client.cookies.set("unspool_units", "feet")
    row = rows_of(client)["1"]
    assert row["distance"] == "41.16\u00a0ft"
    assert row["distance_m"] == pytest.approx(12.5467, abs=1e-3)


def test_rows_are_said_in_the_language_of_the_browser(store: Store) -> None:
    half = store.add_import(
        sample_run.sample_motion().train, 'name = "Half a car"', source="half.csv"
    ).run_id
    client = client_of(store)
    english = rows_of(client)
    client.cookies.set("unspool_language", "de")
    german = rows_of(client)
    one, other = english["1"], german["1"]
    assert (one["day"], one["stands"][0][0]) == (other["day"], other["stands"][0][0])
    assert one["stands"][0][1] != other["stands"][0][1]
    assert other["distance"] == one["distance"].replace(".", ",")
    assert english[half]["fault"] != german[half]["fault"] != ""


def test_edge_files_of_several_come_in_one_archive(store: Store) -> None:
    from io import BytesIO
    from zipfile import ZipFile

    client = client_of(store)
    answer = client.get("/edges.zip?run=1&run=2")
    with ZipFile(BytesIO(answer.content)) as archive:
        assert archive.namelist() == ["unspool-run-1.csv", "unspool-run-2.csv"]
        assert archive.read("unspool-run-2.csv") == client.get("/attempts/2/edges.csv").content
    assert client.get("/edges.zip").status_code == 404
    assert client.get("/edges.zip?run=99").status_code == 404
