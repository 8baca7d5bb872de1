"""Several boards on Track: each is known by its number, and remembers the car that it is in."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app_parts import car_text
from board_rig import powered
from unspool.app import BoardRun, LiveBoards, Recordings, Trackside, create_app
from unspool.app.boards import Boards, OwnBoard
from unspool.contest import Wheel
from unspool.instrument.link import Link
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.judging import Judge, Organiser
from unspool.kept import Readings
from unspool.runs import stored_run
from unspool.store import BoardCar, Store
from unspool.virtual.demo.scenario import CORRIDOR, corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script

HOME = "http://127.0.0.1:8437"
SPEED = 20.0
SANDPIPER, DUNLIN = BoardCar("Sandpiper", "Corridor"), BoardCar("Dunlin")
NUMBERS = {"one": 0x11, "two": 0x22}


class Bench:
    """Two boards that are found again by their ports; the first one's car is wound and let go."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._pipes = {name: Pipe() for name in NUMBERS}
        lives = LiveBoards()
        own = {name: OwnBoard(f"Board {name}", "invented", self._link(name)) for name in NUMBERS}
        self.trackside = Trackside(store, lives, Recordings(store, lives), Boards(own))
        app = create_app(store, trackside=self.trackside)
        self.client = TestClient(app.server, base_url=HOME)

    def _link(self, name: str) -> Callable[[], Link]:
        def link() -> Link:
            made = VirtualLink(self._pipes[name])
            made.spec, made.lasting, made.pace = f"serial:{name}", True, SPEED
            return made

        return link

    def power(self, stack: ExitStack) -> None:
        script = wheel_script(sandpiper(), corridor(), runs=1, seed=3, first_s=30.0)
        for name, number in NUMBERS.items():
            edges = script.edges if name == "one" else []
            stack.enter_context(powered(self._pipes[name], edges, SPEED, identity=number))

    def post(self, path: str, **sent: str) -> tuple[int, str]:
        answer = self.client.post(path, json=sent)
        return answer.status_code, answer.text

    def lines(self) -> list[tuple[int, str, str]]:
        lines = self.trackside.lives.lines
        return [(line.board, line.car, line.banner.headline) for line in lines]

    def until(self, *lines: tuple[int, str, str]) -> None:
        give_up = time.monotonic() + 60
        while (seen := self.lines()) != list(lines):
            assert time.monotonic() < give_up, seen
            time.sleep(0.02)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        for name in ("Sandpiper", "Dunlin"):
            opened.cars.save(car_text(name), name, "Ada")
        opened.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
        yield opened


@pytest.fixture
def bench(store: Store) -> Iterator[Bench]:
    with ExitStack() as stack:
        made = Bench(store)
        made.power(stack)
        yield made
        made.trackside.close()


def measured(contest: Organiser, entry: int, attempt: int) -> Wheel:
    """What the wheel of that attempt measured, once its run was read."""
    give_up = time.monotonic() + 60
    while (found := contest.contest.entries[entry].attempts[attempt].wheel) is None:
        assert time.monotonic() < give_up
        time.sleep(0.02)
    return found


def test_a_board_remembers_its_car_and_says_so(bench: Bench) -> None:
    runs: list[BoardRun] = []
    leave = bench.trackside.recordings.on_run(runs.append)
    contest = Organiser.make(bench.store, "Ada", "Corridor cup")
    called = Judge(bench.store, contest.id, "Ada").call(contest.enter("Reed", "sandpiper"), 1)
    chosen = {"car": "Sandpiper", "floor": "Corridor"}
    assert bench.post("/track/start", board="one", **chosen)[0] == 200
    assert bench.post("/track/start", board="one", **chosen)[0] == 409
    assert bench.post("/track/start", board="two", **chosen)[0] == 200
    bench.until((0x11, "Sandpiper", "Ready to wind"), (0x22, "Sandpiper", "Ready to wind"))
    two = bench.trackside.lives.find("00000022")
    assert two is not None
    status, said = bench.post("/track/car", recorded=two.key, car="Dunlin", floor="")
    assert (status, said) == (200, "Board 00000022 is recorded with Dunlin.")
    bench.until((0x11, "Sandpiper", "Ready to wind"), (0x22, "Dunlin", "Ready to wind"))
    assert bench.store.board_cars() == {0x11: SANDPIPER, 0x22: DUNLIN}
    bench.until((0x11, "Sandpiper", "Attempt over"), (0x22, "Dunlin", "Ready to wind"))
    one = bench.trackside.lives.find("00000011")
    assert one is not None
    assert runs == [BoardRun("1", 0x11, "Sandpiper", "Corridor", one.key)]
    leave()
    wheel = measured(contest, *called)
    reading = Readings(None).reading(stored_run(bench.store.run("1")))
    assert (wheel.run, wheel.furthest_m) == ("1", reading.furthest_m)
    assert bench.post("/track/end")[0] == 409  # which one?
    assert bench.post("/track/end", recorded=one.key)[0] == 200
    bench.until((0x22, "Dunlin", "Ready to wind"))
    assert bench.store.run("1").car_text == bench.store.cars.one("Sandpiper").current.text


def test_boards_that_are_known_are_recorded_by_one_press(bench: Bench) -> None:
    bench.store.remember_car(0x11, SANDPIPER)
    assert bench.post("/track/start-all") == (200, "Recording 2 boards more.")
    bench.until((0x11, "Sandpiper", "Ready to wind"), (0x22, "", "Which car?"))
    assert bench.post("/track/start-all")[0] == 409
    one, two = bench.trackside.lives.shown
    assert one.texts()["advised"]["text"].startswith("Board 00000011 was last recorded with")
    assert bench.post("/track/car", recorded=two.key, car="Curlew", floor="")[0] == 409
    assert bench.post("/track/car", recorded=two.key, car="Dunlin", floor="")[0] == 200
    bench.until((0x11, "Sandpiper", "Ready to wind"), (0x22, "Dunlin", "Ready to wind"))
    assert bench.store.board_cars()[0x22] == DUNLIN


def test_a_car_that_is_chosen_comes_before_the_one_that_the_board_remembers(bench: Bench) -> None:
    bench.store.remember_car(0x22, SANDPIPER)
    bench.store.remember_car(0x11, BoardCar("Curlew"))  # which is gone
    for board in ("two", "one"):
        assert bench.post("/track/start", board=board, car="Dunlin", floor="")[0] == 200
    bench.until((0x22, "Dunlin", "Ready to wind"), (0x11, "Dunlin", "Ready to wind"))
    two, one = (live.texts()["advised"] for live in bench.trackside.lives.shown)
    assert (two["car"], two["floor"]) == ("Sandpiper", "Corridor")
    assert one == {"text": "", "car": "", "floor": ""}
    assert bench.store.board_cars() == {0x11: DUNLIN, 0x22: DUNLIN}


def test_a_port_offers_what_the_board_that_was_there_remembers(bench: Bench) -> None:
    assert bench.post("/track/start", board="one", car="Dunlin", floor="")[0] == 200
    bench.until((0x11, "Dunlin", "Ready to wind"))
    offered = bench.client.get("/track/choices").json()["board"]
    assert [one["key"] for one in offered] == ["two"]  # the other one is taken
    assert bench.post("/track/end")[0] == 200
    bench.until()
    offered = bench.client.get("/track/choices").json()["board"]
    assert [(one["key"], one.get("car"), one.get("floor")) for one in offered] == [
        ("one", "Dunlin", ""),
        ("two", None, None),
    ]
