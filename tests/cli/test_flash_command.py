"""`unspool flash` with an avrdude that only says what the real one (7.1) says, and writes nothing.

The board is the real firmware on a simulated chip; it runs what was to be written already.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

import unspool as package
from cli.fake_avrdude import DONE, OUT_OF_SYNC, Fake, runs
from cli.shell import Done, here
from unspool.cli.entry import run
from unspool.instrument.firmware import build, shipped_image
from unspool.instrument.link import cable_link
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware
FIRMWARE = f"atmega328p {package.__version__}"


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test's boards are not reset when their port is opened, and say hello each second."""
    monkeypatch.setattr("unspool.instrument.link.rates.PATIENCE_S", 1.3)


@pytest.fixture(scope="module")
def board() -> Iterator[SimulatedBoard]:
    with SimulatedBoard() as simulated:
        yield simulated


def flash(port: str, home: Path, env: dict[str, str], *more: str) -> Done:
    return here("flash", "--cable", port, *more, home=home, **env)


def test_shipped_image_is_written_and_heard(
    board: SimulatedBoard, fake: Fake, tmp_path: Path
) -> None:
    done = flash(board.port, tmp_path, fake((0, DONE)))
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines()[1:5] == [
        "found a board with an ATmega328P at 16 MHz",
        "writing",
        "verifying",
        "written; waiting for the board to answer",
    ]
    assert done.out.endswith(f"the board runs {FIRMWARE}, boot 1\n")
    way = ["-p", "atmega328p", "-c", "arduino", "-P", board.port, "-b", "115200"]
    assert runs(tmp_path) == [
        [*way, "-n", "-v"],
        [
            *(*way, "-D"),
            *("-U", f"flash:w:{shipped_image('atmega328p').path}:i"),
        ],
    ]


def test_built_image_as_json(board: SimulatedBoard, fake: Fake, tmp_path: Path) -> None:
    env = fake((0, DONE))
    done = flash(board.port, tmp_path, env, "--build", "--json", "--baud", "57600")
    assert done.status == 0
    image = str(build.SOURCES / "build" / "unspool-atmega328p.hex")
    assert done.answer == {
        "unspool": 1,
        "image": image,
        "firmware": FIRMWARE,
        "firmware_before": FIRMWARE,
        "boot": 1,
    }
    _, arguments = runs(tmp_path)
    assert arguments[-1] == f"flash:w:{image}:i"
    assert arguments[arguments.index("-b") + 1] == "57600"


def test_older_boot_loader_is_found_at_its_own_rate(
    board: SimulatedBoard, fake: Fake, tmp_path: Path
) -> None:
    done = flash(board.port, tmp_path, fake((1, OUT_OF_SYNC), (0, DONE)))
    assert done.status == 0
    assert [arguments[7] for arguments in runs(tmp_path)] == ["115200", "57600", "57600"]
    assert "until its power is off" in done.out


def test_port_that_is_not_there(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    assert run(["flash", "--cable", "/dev/ttyNONE"]) == 2
    assert "there is no port /dev/ttyNONE" in capsys.readouterr().err
    assert runs(tmp_path) == []


def test_port_in_use(
    board: SimulatedBoard,
    fake: Fake,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    other = cable_link(board.port)
    other.open()
    try:
        assert run(["flash", "--cable", board.port]) == 2
    finally:
        other.close()
    assert "is in use by another program" in capsys.readouterr().err
    assert runs(tmp_path) == []


def hold_edges(board: SimulatedBoard, count: int) -> None:
    start = board.time_s + 0.1
    board.feed((start + i * 0.005, 1) for i in range(count))
    while board.time_s < start + count * 0.005 + 0.2:
        time.sleep(0.05)


def test_edges_that_nobody_has_are_not_lost(fake: Fake, tmp_path: Path) -> None:
    env = fake((0, DONE))
    with SimulatedBoard(dtr=True) as held:  # the look at the board resets it
        hold_edges(held, 100)
        refused = flash(held.port, tmp_path, env)
        forced = flash(held.port, tmp_path, env, "--force")
    assert refused.status == 2
    assert "holds 100 edges" in refused.complaints[0]
    assert forced.status == 0
    assert len(runs(tmp_path)) == 2


@pytest.mark.parametrize("agrees", [False, True])
def test_somebody_at_a_terminal_is_asked(
    agrees: bool, fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    asked: list[str] = []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.confirm", lambda text: asked.append(text) or agrees)
    with SimulatedBoard(dtr=True) as held:
        hold_edges(held, 20)
        assert run(["flash", "--cable", held.port]) == (0 if agrees else 2)
    assert len(asked) == 1
    assert len(runs(tmp_path)) == (2 if agrees else 0)


def test_board_that_stays_silent(
    fake: Fake,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    monkeypatch.setattr("unspool.instrument.firmware.onto_board.LOOK_S", 0.2)
    monkeypatch.setattr("unspool.instrument.firmware.onto_board.PROOF_S", 0.5)
    terminal = PseudoTerminal()
    try:
        assert run(["flash", "--cable", terminal.port]) == 2
    finally:
        terminal.close()
    assert "the image is written, but the board on" in capsys.readouterr().err


def test_board_that_runs_something_else(
    board: SimulatedBoard,
    fake: Fake,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    monkeypatch.setattr(package, "__version__", "9.9.9")
    assert run(["flash", "--cable", board.port, "--build"]) == 2
    err = capsys.readouterr().err
    assert FIRMWARE in err
    assert "'atmega328p 9.9.9'" in err


def test_board_of_half_the_clock_is_found_by_its_hello(fake: Fake, tmp_path: Path) -> None:
    """It runs its own firmware already, so the boot loader is asked at its rate only."""
    with SimulatedBoard(board="atmega328p-8mhz", rate=True) as slow:
        done = flash(slow.port, tmp_path, fake((0, DONE)))
    assert done.status == 0
    assert done.out.splitlines()[1] == "found a board with an ATmega328P at 8 MHz"
    assert {arguments[7] for arguments in runs(tmp_path)} == {"57600"}
    assert runs(tmp_path)[1][-1].endswith("unspool-atmega328p-8mhz.hex:i")


@pytest.mark.parametrize("named", [False, True])
def test_image_for_the_other_clock_is_noticed(named: bool, fake: Fake, tmp_path: Path) -> None:
    """The 16 MHz image on a board of 8 MHz talks at half the rate.

    The fake avrdude writes nothing, so the second image is not there either.
    """
    image = build.build_firmware("atmega328p").elf
    with SimulatedBoard(board="atmega328p-8mhz", rate=True, elf=image) as slow:
        more = ("--board", "atmega328p") if named else ()
        done = flash(slow.port, tmp_path, fake((0, DONE)), *more)
    assert done.status == 2
    if named:
        assert "answers at 57600 baud, so it is atmega328p-8mhz" in done.complaints[0]
    else:
        assert runs(tmp_path)[-1][-1].endswith("unspool-atmega328p-8mhz.hex:i")


def test_second_image_follows_if_the_first_is_for_the_other_clock(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A board that said nothing before, and a boot loader that answers at 115,200 baud."""
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    monkeypatch.setattr("unspool.instrument.firmware.onto_board.kind_of", lambda *_: None)
    image = build.build_firmware("atmega328p").elf
    with SimulatedBoard(board="atmega328p-8mhz", rate=True, elf=image) as slow:
        assert run(["flash", "--cable", slow.port]) == 2
    told = capsys.readouterr()
    assert "so it is atmega328p-8mhz: once more" in told.out
    assert "'atmega328p-8mhz 0.1.0' was written" in told.err.replace(package.__version__, "0.1.0")
    images = [arguments[-1] for arguments in runs(tmp_path) if "-U" in arguments]
    assert [Path(one).name for one in images] == [
        "unspool-atmega328p.hex:i",
        "unspool-atmega328p-8mhz.hex:i",
    ]


def test_unknown_board_is_refused_before_anything_is_opened(
    fake: Fake, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    assert run(["flash", "--cable", "/dev/ttyNONE", "--board", "abacus"]) == 2
    assert "'abacus' is no board" in capsys.readouterr().err
