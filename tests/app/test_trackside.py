"""Track's choices, its one recording, and the check of the sensors, around a virtual board."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import event

from app_parts import car_text, make_live_state
from board_rig import powered
from unspool.app import LiveBoards, Recordings, Trackside, create_app
from unspool.app.boards import Boards, OwnBoard
from unspool.errors import InputError, StoreError
from unspool.instrument.link import BlePeripheral, SerialPort
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script

HOME = "http://127.0.0.1:8437"
SPEED = 20.0
CHOSEN = {"car": "Sandpiper", "floor": "Corridor", "board": "own"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        opened.cars.save(car_text(), "Sandpiper", "Ada")
        opened.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
        yield opened


@pytest.fixture
def trackside(store: Store) -> Iterator[Trackside]:
    """A board whose car is wound and let go once, 20 times as fast as a real one."""
    script = wheel_script(sandpiper(), corridor(), runs=1, seed=3, first_s=10.0)
    pipe = Pipe()
    link = VirtualLink(pipe)
    link.pace = SPEED
    lives = LiveBoards()
    boards = Boards({"own": OwnBoard("A virtual board", "invented", lambda: link)})
    made = Trackside(store, lives, Recordings(store, lives), boards)
    with powered(pipe, script.edges, SPEED):
        yield made
        made.close()


@pytest.fixture
def client(trackside: Trackside) -> TestClient:
    app = create_app(trackside.store, trackside=trackside)
    return TestClient(app.server, base_url=HOME)


def _until(done: Callable[[], bool]) -> None:
    give_up = time.monotonic() + 60
    while not done():
        assert time.monotonic() < give_up
        time.sleep(0.02)


def test_cars_floors_and_boards_are_offered(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    port = SerialPort("/dev/ttyUSB0", "USB Serial (QinHeng chip)", True)
    monkeypatch.setattr("unspool.app.boards.list_ports", lambda: [port])
    heard = BlePeripheral("HM-10", "HM-10", "00:11:22:33:44:55", -62, True)
    monkeypatch.setattr("unspool.app.boards.list_ble", lambda: [heard])
    assert client.post("/track/look").status_code == 200
    _until(lambda: len(client.get("/track/choices").json()["board"]) == 3)
    choices = client.get("/track/choices").json()
    assert [one["key"] for one in choices["car"]] == ["Sandpiper"]
    assert [one["key"] for one in choices["floor"]] == ["", "Corridor"]
    assert [(one["key"], one["note"]) for one in choices["board"]] == [
        ("own", "invented"),
        ("cable:/dev/ttyUSB0", "by cable. USB Serial (QinHeng chip)"),
        ("radio:HM-10", "by radio, strong signal (-62 dBm)"),
    ]


def test_a_recording_is_started_followed_and_ended(
    client: TestClient, trackside: Trackside
) -> None:
    lives, store = trackside.lives, trackside.store
    before = lives.session
    assert client.post("/track/start", json=CHOSEN).status_code == 200
    assert lives.session != before
    again = client.post("/track/start", json=CHOSEN)
    assert (again.status_code, "already" in again.text) == (409, True)
    assert client.post("/track/sensors", json=CHOSEN).status_code == 409
    _until(lambda: len(store.runs()) == 1)
    assert store.runs()[0].car == "Sandpiper"
    assert store.runs()[0].track == "Corridor"
    assert client.get("/track/choices").json()["chosen"] == {
        "car": "Sandpiper",
        "floor": "Corridor",
    }
    assert client.post("/track/end").status_code == 200
    _until(lambda: not lives.shown)
    assert lives.idle.run_id == "1"


def test_sensors_are_looked_at_while_the_wheel_turns(
    client: TestClient, trackside: Trackside
) -> None:
    assert client.post("/track/sensors", json=CHOSEN).status_code == 200
    assert client.post("/track/start", json=CHOSEN).status_code == 409
    _until(lambda: client.get("/track/sensors/seen").json()["have"] > 20)
    first = client.get("/track/sensors/seen?have=5").json()
    assert len(first["samples"]) == first["have"] - 5
    assert {tuple(map(type, sample)) for sample in first["samples"]} == {(float, int, int)}
    assert client.post("/track/sensors/end").status_code == 200
    _until(lambda: not trackside.sensors.is_under_way)
    seen = client.get("/track/sensors/seen").json()
    assert seen["fault"] == ""
    assert len(seen["found"]) > 0


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        (CHOSEN | {"car": ""}, "Choose a car"),
        (CHOSEN | {"car": "Curlew"}, "no car 'Curlew'"),
        (CHOSEN | {"floor": "Attic"}, "no track 'Attic'"),
        (CHOSEN | {"board": ""}, "Choose a board"),
        (CHOSEN | {"board": "radio:"}, "Choose a board"),
        ([1], "nothing that a page"),
        ({"car": 1}, "nothing that a page"),
    ],
)
def test_what_cannot_be_recorded_is_one_sentence(
    client: TestClient, trackside: Trackside, sent: object, words: str
) -> None:
    answer = client.post("/track/start", json=sent)
    assert answer.status_code == 409
    assert words in answer.text
    assert not trackside.recordings.is_under_way


def test_a_port_that_is_not_there_ends_the_recording_with_its_reason(
    client: TestClient, trackside: Trackside
) -> None:
    gone = CHOSEN | {"board": "cable:/dev/no-such-port"}
    assert client.post("/track/start", json=gone).status_code == 200
    _until(lambda: not trackside.recordings.is_under_way)
    assert "/dev/no-such-port" in trackside.lives.banner().advice
    with pytest.raises(Exception, match="no-such-port"):
        trackside.recordings.join()


def test_a_store_that_cannot_be_written_ends_the_recording_with_its_reason(
    client: TestClient, trackside: Trackside
) -> None:
    def refuse(connection: Any, _record: object, _proxy: object) -> None:
        connection.execute("PRAGMA query_only = ON")

    event.listen(trackside.store._engine, "checkout", refuse)
    assert client.post("/track/start", json=CHOSEN).status_code == 200
    _until(lambda: not trackside.recordings.is_under_way)
    assert str(trackside.store.place) in trackside.lives.banner().advice
    with pytest.raises(StoreError):
        trackside.recordings.join()


def test_a_mark_needs_a_winding(client: TestClient, trackside: Trackside) -> None:
    for path in ("/track/next-tier", "/track/last-tier"):
        assert client.post(path).status_code == 409
    with pytest.raises(InputError):
        make_live_state().mark_tier(undo=True)
