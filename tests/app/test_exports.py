"""Files of several runs out of the app, and files that are dropped on it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import pyarrow.parquet
import pytest
from fastapi.testclient import TestClient

import sample_run
from app_parts import car_text, filled_store, read_sample
from unspool.app import create_app
from unspool.app.access import Access
from unspool.app.sharing import Sharing
from unspool.bundle import read_bundle
from unspool.errors import StoreError
from unspool.reading.edges.edge_file import edge_text
from unspool.render import tables
from unspool.store import Field, Store

HOME = "http://127.0.0.1:8437"
HEAD = [
    *("run", "time_s", "distance_m", "speed_m_s", "speed_sd_m_s"),
    *("acceleration_m_s2", "acceleration_sd_m_s2"),
]
EDGES = edge_text(sample_run.sample_motion().train.as_seen_by(1)).encode()


def client_of(store: Store) -> TestClient:
    server = create_app(store, None, read_sample).server
    return TestClient(server, base_url=HOME, client=("127.0.0.1", 5000))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> TestClient:
    return client_of(store)


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def test_the_motion_of_runs_is_one_table(client: TestClient) -> None:
    answer = client.get("/motion.csv?run=2&run=1&run=2")
    head, *body = rows(answer.text)
    assert head == HEAD
    assert list(dict.fromkeys(row[0] for row in body)) == ["2", "1"]
    times = [float(row[1]) for row in body if row[0] == "1"]
    assert times == sorted(times)
    assert 'filename="unspool-runs-motion.csv"' in answer.headers["content-disposition"]
    alone = client.get("/motion.csv?run=1")
    assert 'filename="unspool-run-1-motion.csv"' in alone.headers["content-disposition"]
    assert rows(alone.text) == [head, *(row for row in body if row[0] == "1")]


def test_parquet_has_the_same_table(client: TestClient) -> None:
    answer = client.get("/motion.parquet?run=1&run=2")
    found = pyarrow.parquet.read_table(io.BytesIO(answer.content))
    assert found.column_names == HEAD
    assert found.schema.metadata[b"unspool"] == b"1"
    _, *body = rows(client.get("/motion.csv?run=1&run=2").text)
    assert found.column("run").to_pylist() == [row[0] for row in body]
    assert found.column("distance_m").to_pylist() == [float(row[2]) for row in body]


def test_without_the_library_the_csv_is_named(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "find_spec", lambda name: None)
    answer = client.get("/motion.parquet?run=1")
    assert (answer.status_code, "take the CSV" in answer.text) == (404, True)


def test_a_bundle_out_of_one_app_goes_into_another(
    store: Store, client: TestClient, tmp_path: Path
) -> None:
    store.correct("2", {Field.TAGS: ("wet",)}, "Ada")
    answer = client.get("/bundle.zip?run=1&run=2")
    assert answer.headers["content-type"] == "application/zip"
    assert len(read_bundle(answer.content, "b.zip")) == 2
    with Store.open(tmp_path / "other") as other:
        there = client_of(other)
        added = there.post("/import?name=b.zip", content=answer.content)
        assert added.json() == {
            "text": "Added 2 attempts.",
            "runs": [{"run": "1", "already_there": False}, {"run": "2", "already_there": False}],
        }
        again = there.post("/import?name=b.zip", content=answer.content).json()
        assert [one["already_there"] for one in again["runs"]] == [True, True]
        assert [row.tags for row in other.runs()] == [(), ("wet",)]


def test_an_edge_file_is_dropped_for_a_car_and_a_track(store: Store, client: TestClient) -> None:
    store.tracks.save('name = "Hall"\n', "Hall", "Ada")
    where = "/import?name=b%0A.csv&car=dunlin&track=HALL"
    assert client.post(where, content=EDGES).json()["text"] == "Added one attempt."
    run = store.run("3")
    assert (run.car_text, run.track_text) == (car_text("Dunlin"), 'name = "Hall"\n')
    assert run.source == "b.csv"
    assert client.post(where, content=EDGES).json()["runs"][0]["already_there"]


@pytest.mark.parametrize(
    ("query", "body", "says"),
    [
        ("name=a.csv", EDGES, "choose the car first"),
        ("name=a.csv&car=Curlew", EDGES, "has no car 'Curlew'"),
        ("name=a.csv&car=Dunlin&track=Attic", EDGES, "has no track 'Attic'"),
        ("name=a.csv&car=Dunlin", b"Dear library", "a.csv: line 1"),
        ("name=a.csv&car=Dunlin", b"", "a.csv: the file is empty"),
        ("name=photo.jpg", b"\xff\xd8\xff", "photo.jpg: line 1: not UTF-8"),
        ("car=Dunlin", b"\xff\xd8\xff", "the file: line 1: not UTF-8"),
        ("name=b.zip", b"PK\x03\x04nothing", "b.zip: is cut short or damaged"),
    ],
)
def test_another_file_is_refused_in_a_sentence(
    store: Store, client: TestClient, query: str, body: bytes, says: str
) -> None:
    answer = client.post(f"/import?{query}", content=body)
    assert (answer.status_code, len(answer.text.splitlines())) == (409, 1)
    assert says in answer.text
    assert "?." not in answer.text
    assert len(store.runs()) == 2


@pytest.mark.parametrize("path", ["/motion.csv", "/motion.parquet", "/bundle.zip"])
def test_runs_that_are_not_there(client: TestClient, path: str) -> None:
    for query in ("", "?run=9", "?run=x", "?run=1&run=9"):
        answer = client.get(path + query)
        assert (answer.status_code, answer.text.count("\n")) == (404, 1)
    many = "&".join(f"run={number}" for number in range(2001))
    assert "; 2001 were asked for" in client.get(f"{path}?{many}").text


def test_a_file_may_be_larger_than_what_a_form_sends(client: TestClient) -> None:
    answer = client.post("/import?name=big.csv&car=Dunlin", content=b"#" * 3_000_000)
    assert (answer.status_code, "no line of data" in answer.text) == (409, True)


def test_a_store_that_cannot_be_written_takes_no_file(store: Store, client: TestClient) -> None:
    bundle = client.get("/bundle.zip?run=1").content
    store._unwritable = StoreError("the disk that holds the store is full")
    for query, body in (("name=a.csv&car=Dunlin", EDGES), ("name=b.zip", bundle)):
        answer = client.post(f"/import?{query}", content=body)
        assert (answer.status_code, answer.text) == (
            500,
            "Not imported: the disk that holds the store is full.",
        )


def test_a_guest_may_take_files_and_bring_none(store: Store) -> None:
    server = create_app(store, None, read_sample, Sharing(Access(shared=True))).server
    guest = TestClient(server, base_url="http://192.168.7.7:8437", client=("192.168.7.9", 5000))
    assert guest.post("/import?name=a.csv&car=Dunlin", content=EDGES).status_code == 403
    assert guest.get("/bundle.zip?run=1").status_code == 200
    assert len(store.runs()) == 2
