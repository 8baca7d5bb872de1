"""`unspool part` from the shell to the file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from unspool.cli.entry import run
from unspool.virtual.demo.scenario import SANDPIPER
from workshop.svg import by_class, panels, parse

DISC = ["part", "disc", "--slots", "10", "--kerf-mm", "0.2"]
HARDWARE = Path(__file__).parents[2] / "hardware"


def test_writes_the_drawing_and_says_where_b_sits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "disc.svg"
    assert run([*DISC, "--out", str(out)]) == 0
    assert len(by_class(parse(out.read_text()), "hole")) == 14  # bore, 3 screws, 10 slots
    said = capsys.readouterr().out
    assert "20 edges a turn" in said
    assert "Sensor B 45 deg with the arrow from A" in said
    assert "chlorine" in said
    assert list(tmp_path.iterdir()) == [out]


def test_measures_come_from_the_car_file(tmp_path: Path) -> None:
    out = tmp_path / "drum.svg"
    assert run(["part", "drum", "--car", str(SANDPIPER), "--out", str(out)]) == 0
    assert {"tier start", "tier run with notch"} <= set(panels(parse(out.read_text())))


def test_all_parts_go_to_numbered_sheets(tmp_path: Path) -> None:
    out = tmp_path / "parts.dxf"
    asked = ["part", "all", "--car", str(SANDPIPER), "--sheet", "400x300", "--out", str(out)]
    assert run(asked) == 0
    names = sorted(file.name for file in tmp_path.iterdir())
    assert names[:2] == ["parts-1.dxf", "parts-2.dxf"]


@pytest.mark.parametrize(
    ("wrong", "option"),
    [
        (["--slots", "1"], "--slots"),
        (["--disc-mm", "nan"], "--disc-mm"),
        (["--disc-mm", "-60"], "--disc-mm"),
        (["--kerf-mm", "nan"], "--kerf-mm"),
        (["--shaft-mm", "12"], "--shaft-mm"),
        (["--sheet", "=1+1"], "--sheet"),
        (["--sheet", "a4", "--disc-mm", "300"], "disc"),
        (["--cut-colour", "red"], "--cut-colour"),
        (["--board", "toaster"], "--board"),
        (["--module-hole-mm", "0"], "--module-hole-mm: found 0"),
        (["--gap-mm", "nan"], "--gap-mm"),
        (["--beam-mm", "0"], "--beam-mm: found 0"),
        (["--slots", "0"], "--slots: found 0"),
        (["--disc-mm", "0"], "--disc-mm: found 0"),
        (["--disc-mm", "30"], "--disc-mm, --shaft-mm, --rim-mm, --slot-length-mm: found"),
        (["--disc-mm", "300", "--sheet", "a4"], "\n  disc: found"),
    ],
)
def test_every_fault_under_its_option(
    wrong: list[str], option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "disc.svg"
    assert run([*DISC, *wrong, "--out", str(out)]) == 2
    assert option in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("name", ["disc.pdf", "disc"])
def test_ending_of_the_file_decides_its_kind(name: str, tmp_path: Path) -> None:
    assert run([*DISC, "--out", str(tmp_path / name)]) == 2


def test_drum_needs_a_car(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["part", "drum", "--slots", "10", "--out", str(tmp_path / "drum.svg")]) == 2
    assert "--car" in capsys.readouterr().err


def test_refuses_to_overwrite_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "disc.svg"
    out.write_text("mine")
    assert run([*DISC, "--out", str(out)]) == 2
    assert out.read_text() == "mine"
    assert "--force" in capsys.readouterr().err
    assert run([*DISC, "--out", str(out), "--force"]) == 0
    assert "<svg" in out.read_text()


def test_device_is_written_to_and_never_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.svg"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        assert run([*DISC, "--out", str(pipe), "--force"]) == 0
        assert os.read(reader, 5) == b"<?xml"
    finally:
        os.close(reader)
    assert pipe.is_fifo()


def test_folder_is_no_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "disc.svg"
    folder.mkdir()
    assert run([*DISC, "--out", str(folder)]) == 2
    assert "cannot be written (Is a directory)" in capsys.readouterr().err


def test_place_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*DISC, "--out", str(tmp_path / "none" / "disc.svg")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "cannot be written (No such file or directory)" in line


def test_all_sheets_are_written_or_none(tmp_path: Path) -> None:
    (tmp_path / "parts-2.svg").write_text("mine")
    asked = ["part", "all", "--car", str(SANDPIPER), "--sheet", "400x300"]
    assert run([*asked, "--out", str(tmp_path / "parts.svg")]) == 2
    assert [file.name for file in tmp_path.iterdir()] == ["parts-2.svg"]


@pytest.mark.parametrize("name", ["disc", "pattern"])
def test_shipped_drawing_is_what_the_command_draws(name: str, tmp_path: Path) -> None:
    out = tmp_path / f"{name}.svg"
    how = ["--kerf-mm", "0.2"] if name == "disc" else ["--form", "print"]
    assert run(["part", name, "--slots", "10", *how, "--out", str(out)]) == 0
    assert out.read_text() == (HARDWARE / "pictures" / f"{name}-10-slots.svg").read_text()
