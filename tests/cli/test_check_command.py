"""`unspool check` as a builder runs it, on the real firmware on a simulated chip."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from cli.shell import Done, environment, here
from instrument.sensors.turned import Bench
from unspool.cli.entry import run
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

PATIENCE_S = 120.0


@pytest.fixture
def board() -> Iterator[SimulatedBoard]:
    with SimulatedBoard() as simulated:
        yield simulated


def check(board: SimulatedBoard, bench: Bench, home: Path, *more: str | Path) -> Done:
    """The wheel turns soon after the command asked for it."""
    with subprocess.Popen(
        [sys.executable, "-m", "unspool", "check", "--cable", board.port, *map(str, more)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(home),
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        request = (process.stderr if "--json" in more else process.stdout).readline()
        board.show(bench.pins(board.time_s + 0.3))
        out, err = process.communicate(timeout=PATIENCE_S)
    return Done(
        process.returncode, *((out, request + err) if "--json" in more else (request + out, err))
    )


def test_right_sensors(board: SimulatedBoard, tmp_path: Path) -> None:
    done = check(board, Bench(turns=8, turns_a_second=6), tmp_path, "--car", SANDPIPER)
    assert (done.status, done.err) == (0, "")
    assert "about ten turns" in done.out
    assert "A turn has 20 edges, as it should." in done.out
    assert done.out.endswith("the sensors are fine\n")


def test_one_switch_and_two_magnets(board: SimulatedBoard, tmp_path: Path) -> None:
    """It ends by itself soon after the ten turns that it asks for."""
    car = tmp_path / "car.toml"
    encoder = "pulses_per_turn = 4\nsensors = 1"
    car.write_text(re.sub(r"pulses_per_turn = \d+", encoder, SANDPIPER.read_text("utf-8")), "utf-8")
    bench = Bench(slots=2, high=0.15, b_dead=True, turns=10, turns_a_second=8)
    done = check(board, bench, tmp_path, "--car", car, "--json")
    assert (done.status, done.complaints[1:]) == (0, [])
    assert done.answer["edges"] == {"a": 40, "b": 0}


def test_sensor_b_unplugged_as_json(board: SimulatedBoard, tmp_path: Path) -> None:
    bench = Bench(turns=13, turns_a_second=8, b_dead=True)
    done = check(board, bench, tmp_path, "--edges", "20", "--json")
    assert done.status == 2
    assert done.answer["unspool"] == 1
    assert done.answer["ok"] is False
    assert done.answer["edges"]["b"] == 0
    assert done.answer["phase_deg"] is None
    assert done.answer["edges_per_turn"] == done.answer["edges_per_turn_expected"] == 20
    (bad,) = [one for one in done.answer["findings"] if one["severity"] == "warning"]
    assert (bad["code"], bad["values"]["sensor"]) == ("sensor_blind", "B")
    assert done.complaints[-1] == f"unspool: the sensors are not right: {bad['text']}"


def test_wheel_that_nobody_turns(board: SimulatedBoard, tmp_path: Path) -> None:
    done = here("check", "--cable", board.port, "--seconds", "5", home=tmp_path)
    assert done.status == 2
    assert "The wheel did not turn, or neither sensor sees the disc" in done.out
    assert len(done.complaints) == 1


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--cable", "/dev/ttyNONE"], "there is no port /dev/ttyNONE"),
        (["--cable", "/dev/ttyNONE", "--car", "no.toml"], "no.toml"),
        (["--cable", "/dev/ttyNONE", "--turns", "0"], "--turns takes a number of at least 1"),
        (["--link", "COM3"], "there is no option --link here"),
    ],
)
def test_what_cannot_be_checked(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", *arguments]) == 2
    assert says in capsys.readouterr().err
