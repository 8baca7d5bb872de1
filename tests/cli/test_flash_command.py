"""`unspool flash` with an avrdude that only says what the real one (7.1) says, and writes nothing.

The board is the real firmware on a simulated chip; it runs what was to be written already.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import unspool as package
from cli.shell import Done, unspool
from unspool.cli.entry import run
from unspool.instrument.firmware import build, shipped_image, writer
from unspool.instrument.link import cable_link
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

FIRMWARE = f"atmega328p {package.__version__}"
DONE = """
avrdude: AVR device initialized and ready to accept instructions
avrdude: device signature = 0x1e950f (probably m328p)

Writing | ################################################## | 100% 1.91s

avrdude: 15084 bytes of flash written

Reading | ################################################## | 100% 1.53s

avrdude: 15084 bytes of flash verified

avrdude done.  Thank you.
"""
OUT_OF_SYNC = """
avrdude warning: attempt 10 of 10: not in sync: resp=0x00
avrdude error: unable to open programmer arduino on port /dev/pts/0

avrdude done.  Thank you.
"""
OTHER_CHIP = """
avrdude: device signature = 0x1e9514 (probably m328)
avrdude error: expected signature for ATmega328P is 1E 95 0F
        double check chip or use -F to override this check

avrdude done.  Thank you.
"""
MISMATCH = """
Reading | ################################################## | 100% 1.53s

avrdude warning: verification mismatch
        device 0xff != input 0x0c at addr 0x0000 (error)
avrdude error: verification mismatch
"""
Fake = Callable[..., dict[str, str]]


@pytest.fixture
def fake(tmp_path: Path) -> Fake:
    """An avrdude on PATH that says one text at each run, the last again and again."""

    def make(*says: tuple[int, str]) -> dict[str, str]:
        folder = tmp_path / "bin"
        folder.mkdir()
        (folder / "says.json").write_text(json.dumps(says))
        program = folder / "avrdude"
        program.write_text(
            f"#!{sys.executable}\n"
            "import json, pathlib, sys\n"
            "here = pathlib.Path(__file__).parent\n"
            "runs = here / 'runs'\n"
            "done = runs.read_text().splitlines() if runs.exists() else []\n"
            "runs.write_text('\\n'.join([*done, json.dumps(sys.argv[1:])]))\n"
            "says = json.loads((here / 'says.json').read_text())\n"
            "status, text = says[min(len(done), len(says) - 1)]\n"
            "sys.stderr.write(text)\n"
            "sys.exit(status)\n"
        )
        program.chmod(0o755)
        return {"PATH": f"{folder}{os.pathsep}{os.environ['PATH']}"}

    return make


def runs(tmp_path: Path) -> list[list[str]]:
    path = tmp_path / "bin" / "runs"
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


@pytest.fixture(scope="module")
def board() -> Iterator[SimulatedBoard]:
    with SimulatedBoard() as simulated:
        yield simulated


def flash(port: str, home: Path, env: dict[str, str], *more: str) -> Done:
    return unspool("flash", "--cable", port, *more, home=home, **env)


def test_shipped_image_is_written_and_heard(
    board: SimulatedBoard, fake: Fake, tmp_path: Path
) -> None:
    done = flash(board.port, tmp_path, fake((0, DONE)))
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines()[1:4] == [
        "writing",
        "verifying",
        "written; waiting for the board to answer",
    ]
    assert done.out.endswith(f"the board runs {FIRMWARE}, boot 1\n")
    assert runs(tmp_path) == [
        [
            *("-p", "atmega328p", "-c", "arduino", "-P", board.port, "-b", "115200", "-D"),
            *("-U", f"flash:w:{shipped_image().path}:i"),
        ]
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
    (arguments,) = runs(tmp_path)
    assert arguments[-1] == f"flash:w:{image}:i"
    assert arguments[arguments.index("-b") + 1] == "57600"


def test_older_boot_loader_is_found_at_its_own_rate(
    board: SimulatedBoard, fake: Fake, tmp_path: Path
) -> None:
    done = flash(board.port, tmp_path, fake((1, OUT_OF_SYNC), (0, DONE)))
    assert done.status == 0
    assert [arguments[7] for arguments in runs(tmp_path)] == ["115200", "57600"]


@pytest.mark.parametrize(
    ("says", "sentence"),
    [
        (OUT_OF_SYNC, "no boot loader answers on"),
        (OTHER_CHIP, "is no ATmega328P, so nothing was written"),
        (MISMATCH, "is not what was written"),
        ("avrdude OS error: cannot open port COM3: Access is denied\n", "in use by another"),
        ("avrdude OS error: cannot open port x: No such file or directory\n", "there is no port"),
        ("avrdude error: the dog ate it\n\navrdude done.  Thank you.\n", "the dog ate it"),
        ("", "it gave no reason"),
    ],
)
def test_what_goes_wrong_is_one_sentence(
    says: str,
    sentence: str,
    fake: Fake,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("PATH", fake((1, says))["PATH"])
    with pytest.raises(writer.LinkError, match=sentence):
        writer.write(tmp_path / "image.hex", "/dev/ttyX")


def test_bars_are_told_as_they_grow(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    told: list[writer.Stage] = []
    writer.write(tmp_path / "image.hex", "/dev/ttyX", progress=told.append)
    assert [stage for stage in told if stage.share == 1.0] == [
        writer.Stage("writing", 1.0),
        writer.Stage("verifying", 1.0),
    ]


def test_avrdude_that_never_ends_is_ended(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    (tmp_path / "bin" / "avrdude").write_text(f"#!{sys.executable}\nimport time\ntime.sleep(60)\n")
    monkeypatch.setattr(writer, "LONGEST_S", 0.5)
    with pytest.raises(writer.LinkError, match="did not come to an end"):
        writer.write(tmp_path / "image.hex", "/dev/ttyX")


@pytest.mark.parametrize(
    ("system", "how"),
    [("linux", "apt-get install avrdude"), ("darwin", "brew"), ("win32", "winget")],
)
def test_missing_avrdude_says_how_to_get_it(
    system: str, how: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    monkeypatch.setattr(sys, "platform", system)
    assert run(["flash", "--cable", "/dev/ttyNONE"]) == 2
    err = capsys.readouterr().err
    assert how in err
    assert err.count("\n") == 1


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
    assert len(runs(tmp_path)) == 1


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
    assert len(runs(tmp_path)) == (1 if agrees else 0)


def test_board_that_stays_silent(
    fake: Fake,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    monkeypatch.setattr("unspool.cli.flash.LOOK_S", 0.2)
    monkeypatch.setattr("unspool.cli.flash.PROOF_S", 0.5)
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
