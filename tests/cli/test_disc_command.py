"""`unspool disc` from the shell to the file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from unspool.cli.entry import run
from workshop.svg import by_class, parse

TEN = ["disc", "--slots", "10", "--outer-mm", "60", "--bore-mm", "8", "--kerf-mm", "0.2"]
HARDWARE = Path(__file__).parents[2] / "hardware"


def test_writes_the_drawing_and_says_where_b_sits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "disc.svg"
    assert run([*TEN, "--out", str(out)]) == 0
    assert len(by_class(parse(out.read_text()), "slot")) == 10
    said = capsys.readouterr().out
    assert "20 edges a turn" in said
    assert "Sensor B: 45 deg from A in the direction of rotation" in said
    assert "responsible" in said
    assert list(tmp_path.iterdir()) == [out]


def test_every_fault_under_its_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "disc.svg"
    wrong = ["disc", "--slots", "1", "--outer-mm", "-60", "--bore-mm", "0", "--kerf-mm", "nan"]
    assert run([*wrong, "--out", str(out)]) == 2
    told = capsys.readouterr().err
    assert not out.exists()
    for option in ("--slots", "--outer-mm", "--bore-mm", "--kerf-mm"):
        assert f"  {option}: found" in told


def test_refuses_to_overwrite_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "disc.svg"
    out.write_text("mine")
    assert run([*TEN, "--out", str(out)]) == 2
    assert out.read_text() == "mine"
    assert "--force" in capsys.readouterr().err
    assert run([*TEN, "--out", str(out), "--force"]) == 0
    assert "<svg" in out.read_text()


def test_device_is_written_to_and_never_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        assert run([*TEN, "--out", str(pipe), "--force"]) == 0
        assert os.read(reader, 5) == b"<?xml"
    finally:
        os.close(reader)
    assert pipe.is_fifo()


def test_folder_is_no_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*TEN, "--out", str(tmp_path)]) == 2
    assert "cannot be written (Is a directory)" in capsys.readouterr().err


def test_place_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*TEN, "--out", str(tmp_path / "none" / "disc.svg")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "cannot be written (No such file or directory)" in line


def test_shipped_disc_is_what_the_command_draws(tmp_path: Path) -> None:
    for form in ("cut", "print"):
        out = tmp_path / f"{form}.svg"
        assert run([*TEN, "--form", form, "--out", str(out)]) == 0
        shipped = HARDWARE / ("disc-10-slots.svg" if form == "cut" else "disc-10-slots-print.svg")
        assert out.read_text() == shipped.read_text()
