"""What avrdude says, and what is made of it: the chip, its boot loader, a fault in one sentence."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from cli.fake_avrdude import DONE, OUT_OF_SYNC, Fake, runs
from unspool.cli.entry import run
from unspool.instrument.firmware import writer
from unspool.instrument.firmware.boards import ATMEGA328P

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
LOADER = writer.BootLoader("/dev/ttyX", "arduino", 115_200, "atmega328p")


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
