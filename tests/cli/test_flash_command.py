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
from cli.shell import Done, here
from unspool.cli.entry import run
from unspool.instrument.firmware import build, shipped_image, writer
from unspool.instrument.firmware.boards import ATMEGA328P
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
LOADER = writer.BootLoader("/dev/ttyX", "arduino", 115_200, "atmega328p")


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test's boards are not reset when their port is opened, and say hello each second."""
    monkeypatch.setattr("unspool.instrument.link.rates.PATIENCE_S", 1.3)


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


@pytest.mark.parametrize(
    ("says", "sentence"),
    [
        (OUT_OF_SYNC, "no boot loader answers on"),
        (OTHER_CHIP, "is an ATmega328 without a P, so nothing was written"),
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
        writer.ask_loader("/dev/ttyX")


def test_what_was_not_written_right_is_said(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((1, MISMATCH))["PATH"])
    with pytest.raises(writer.LinkError, match="is not what was written"):
        writer.write(LOADER, tmp_path / "image.hex")


def signature(number: str) -> str:
    return f"avrdude: device signature = 0x{number} (probably something)\n"


@pytest.mark.parametrize(
    ("number", "board", "part"),
    [
        ("1e950f", "atmega328p", "atmega328p"),
        ("1e9516", "atmega328p", "atmega328pb"),
        ("1e9801", "atmega2560", "atmega2560"),
    ],
)
@pytest.mark.parametrize("status", [0, 1])
def test_chip_is_found_by_its_signature(
    number: str, board: str, part: str, status: int, fake: Fake, monkeypatch: pytest.MonkeyPatch
) -> None:
    """avrdude fails if the chip is not the part that it was given. What it read counts."""
    monkeypatch.setenv("PATH", fake((status, signature(number)))["PATH"])
    loader, kind = writer.ask_loader("/dev/ttyX")
    assert (kind.name, loader.part) == (board, part)


def test_signature_of_a_newer_avrdude_is_read(fake: Fake, monkeypatch: pytest.MonkeyPatch) -> None:
    says = "Device signature = 1E 95 16 (ATmega328PB)\n"
    monkeypatch.setenv("PATH", fake((0, says))["PATH"])
    assert writer.ask_loader("/dev/ttyX")[0].part == "atmega328pb"


def test_larger_board_is_found_though_the_smaller_ones_loader_is_silent(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    silent = (1, OUT_OF_SYNC)
    monkeypatch.setenv("PATH", fake(silent, silent, (0, signature("1e9801")))["PATH"])
    loader, kind = writer.ask_loader("/dev/ttyX")
    assert (loader.programmer, loader.baud, kind.name) == ("wiring", 115_200, "atmega2560")
    assert [arguments[3] for arguments in runs(tmp_path)] == ["arduino", "arduino", "wiring"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("1e9406", "an ATmega168, so nothing was written: it has half the memory"),
        ("1e9587", "an ATmega32U4, .* USB port in the chip"),
        ("1e0000", "an unknown one .signature 1e0000., .* for ATmega328P at 16 MHz, "),
        ("1e9801", "is that of atmega2560, not of atmega328p"),
    ],
)
def test_chip_that_is_not_served_is_named_with_its_reason(
    number: str, words: str, fake: Fake, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((1, signature(number)))["PATH"])
    with pytest.raises(writer.LinkError, match=words):
        writer.ask_loader("/dev/ttyX", ATMEGA328P)


def test_bars_are_told_as_they_grow(
    fake: Fake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", fake((0, DONE))["PATH"])
    told: list[writer.Stage] = []
    writer.write(LOADER, tmp_path / "image.hex", told.append)
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
        writer.write(LOADER, tmp_path / "image.hex")


@pytest.mark.parametrize(
    ("system", "how"),
    [("linux", "apt-get install avrdude"), ("darwin", "brew"), ("win32", "winget")],
)
def test_missing_avrdude_says_how_to_get_it(
    system: str, how: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    monkeypatch.setattr(sys, "platform", system)
    assert run(["flash", "--cable", "/dev/ttyNONE", "--board", "atmega328p"]) == 2
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
