"""`unspool record` with several boards: a line names its board, and each one fails alone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from app_parts import car_text
from board_rig import powered
from unspool.app import RecordedCar
from unspool.car import FLAT, parse_car
from unspool.cli.all_boards import AllBoards
from unspool.cli.session import RecordingSession, Wanted
from unspool.instrument.link import SerialPort, cable_link
from unspool.instrument.link.serial import SerialLink
from unspool.store import BoardCar, Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script

SPEED = 20.0


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        yield opened


@pytest.fixture
def ports() -> Iterator[list[PseudoTerminal]]:
    made = [PseudoTerminal() for _ in range(2)]
    yield made
    for port in made:
        port.close()


def _car(name: str) -> RecordedCar:
    text = car_text(name)
    return RecordedCar(parse_car(text, name), FLAT, text, None)


def _wanted(port: str, name: str) -> Wanted:
    link = SerialLink(port)
    link.pace = SPEED
    return Wanted(link, _car(name))


def test_each_board_has_its_own_lines(
    store: Store, ports: list[PseudoTerminal], capsys: pytest.CaptureFixture[str]
) -> None:
    script = wheel_script(sandpiper(), corridor(), runs=1, seed=3, first_s=8.0)
    wanted = [
        _wanted(ports[0].port, "Sandpiper"),
        _wanted("/dev/no-such-port", "Curlew"),
        _wanted(ports[1].port, "Dunlin"),
    ]
    session = RecordingSession(wanted, store, lambda *_: None, is_over=lambda saved: saved == 2)
    with ExitStack() as stack:
        for k, port in enumerate(ports):
            stack.enter_context(powered(port, script.edges, SPEED, identity=k + 1))
        session.run(None)
    lines = capsys.readouterr().out.splitlines()
    for name in ("Sandpiper", "Dunlin"):
        mine = [line.partition(": ")[2] for line in lines if line.startswith(f"{name}: ")]
        assert [line.split(":")[0] for line in mine[-3:]] == ["winding", "wound", "running"]
    assert sum("/dev/no-such-port" in line for line in lines) == 1
    assert {row.car for row in store.runs()} == {"Sandpiper", "Dunlin"}
    assert store.board_cars() == {1: BoardCar("Sandpiper"), 2: BoardCar("Dunlin")}


def test_boards_join_as_they_are_plugged_in(
    store: Store, ports: list[PseudoTerminal], capsys: pytest.CaptureFixture[str]
) -> None:
    store.cars.save(car_text("Sandpiper"), "Sandpiper", "Ada")
    store.remember_car(1, BoardCar("Sandpiper"))
    here = [ports[0].port]
    every = AllBoards(lambda: [SerialPort(port, "", True) for port in here])
    said: list[str] = []

    def is_over(_saved: int) -> bool:
        said.append(capsys.readouterr().out)
        text = "".join(said)
        if "ready to wind" in text and len(here) == 1:
            here.append(ports[1].port)
        return "is new here" in text

    session = RecordingSession([], store, lambda *_: None, is_over=is_over, every=every)
    with powered(ports[0], [], 1.0, identity=1), powered(ports[1], [], 1.0, identity=2):
        session.run(None)
    text = "".join(said)
    assert "! Board 00000002 is new here" in text
    assert "Board 00000001 is new" not in text


def test_a_port_is_offered_after_two_looks_and_again_once_it_was_unplugged() -> None:
    here = {"A", "B"}
    every = AllBoards(lambda: [SerialPort(port, "", port != "B") for port in here])

    def fresh() -> list[str]:
        return [link.spec for link in every.fresh()]

    assert fresh() == []
    assert fresh() == [cable_link("A").spec]
    assert fresh() == []
    here.remove("A")
    assert fresh() == []
    here.add("A")
    assert [fresh(), fresh(), fresh()] == [[], ["serial:A"], []]
