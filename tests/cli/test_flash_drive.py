"""`unspool flash` for a board that is a drive. A folder plays the drive, a simulation the board."""

from __future__ import annotations

import errno
import os
import shutil
import struct
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest

import unspool as package
from unspool.cli.entry import run
from unspool.errors import InputError, LinkError
from unspool.instrument.firmware import by_drive, shipped_image
from unspool.instrument.firmware import drive as drives
from unspool.instrument.firmware.boards import RP2040
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

FIRMWARE = f"rp2040 {package.__version__}"
ABOUT = "UF2 Bootloader v3.0\r\nModel: Raspberry Pi RP2\r\nBoard-ID: RPI-RP2\r\n"


def mounted(place: Path, about: str = ABOUT) -> Path:
    place.mkdir(parents=True)
    (place / "INFO_UF2.TXT").write_text(about, newline="")
    return place


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where drives are looked for in these tests."""
    monkeypatch.setattr(drives, "MOUNTS", (f"{tmp_path}/media/*",))
    return tmp_path / "media"


@pytest.fixture(scope="module")
def board() -> Iterator[SimulatedBoard]:
    with SimulatedBoard(board="rp2040") as simulated:
        yield simulated


def test_image_is_copied_and_the_board_heard(
    board: SimulatedBoard, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = mounted(tmp_path / "anywhere")
    assert run(["flash", "--drive", str(folder), "--cable", board.port]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert said.out.splitlines() == [
        f"copying to {folder}",
        "copied; waiting for the board to answer",
        f"the board runs {FIRMWARE}, boot 1",
    ]
    assert (folder / "unspool.uf2").read_bytes() == shipped_image("rp2040").path.read_bytes()


def test_board_that_says_hello_is_known_and_its_drive_is_found(
    board: SimulatedBoard, places: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its cable is out and in again meanwhile; avrdude is not needed."""
    folder = mounted(places / "RPI-RP2")
    assert run(["flash", "--cable", board.port]) == 0
    said = capsys.readouterr().out
    assert f"looking at {board.port}" in said
    assert (folder / "unspool.uf2").exists()


def test_somebody_at_a_terminal_has_time_for_the_button(
    board: SimulatedBoard,
    places: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr(by_drive, "LOOK_AGAIN_S", 0.01)
    seen: list[list[Path]] = [[], [], [], [mounted(places / "RPI-RP2")]]
    monkeypatch.setattr("unspool.instrument.firmware.by_drive.board_drives", lambda: seen.pop(0))
    assert run(["flash", "--cable", board.port, "--board", "rp2040"]) == 0
    assert capsys.readouterr().out.count("BOOTSEL") == 1


def test_nobody_is_asked_to_press_a_button(
    board: SimulatedBoard, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["flash", "--cable", board.port, "--board", "rp2040"]) == 2
    assert "hold its BOOTSEL button" in capsys.readouterr().err


def test_edges_that_nobody_has_are_not_lost(
    places: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with SimulatedBoard(board="rp2040") as held:
        start = held.time_s + 0.3
        held.feed((start + i * 0.002, 1) for i in range(50))
        while held.time_s < start + 0.5:
            time.sleep(0.05)
        assert run(["flash", "--cable", held.port]) == 2
    assert "holds 50 edges" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("about", "words"),
    [
        (ABOUT.replace("RPI-RP2", "RP2350"), "is that of another board (RP2350)"),
        ("Model: something\n", "does not say of which board it is"),
        (None, "is no drive of a board in boot mode"),
    ],
)
def test_drive_that_is_no_such_board_is_refused(
    about: str | None, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "drive"
    if about is None:
        folder.mkdir()
    else:
        mounted(folder, about)
    assert run(["flash", "--drive", str(folder)]) == 2
    err = capsys.readouterr().err
    assert words in err
    assert err.count("\n") == 1
    assert not (folder / "unspool.uf2").exists()


def test_two_drives_are_listed(places: Path, capsys: pytest.CaptureFixture[str]) -> None:
    two = [mounted(places / name) for name in ("RPI-RP2", "RPI-RP21")]
    assert run(["flash"]) == 2
    err = capsys.readouterr().err
    assert all(str(one) in err for one in two)


def test_board_that_has_no_drive(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = mounted(tmp_path / "drive")
    assert run(["flash", "--drive", str(folder), "--board", "atmega328p"]) == 2
    assert "atmega328p has no drive" in capsys.readouterr().err


def test_board_that_does_not_come_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(by_drive, "RESTART_S", 0.2)
    folder = mounted(tmp_path / "drive")
    assert run(["flash", "--drive", str(folder), "--cable", "/dev/ttyNONE"]) == 2
    assert "there is no port /dev/ttyNONE" in capsys.readouterr().err


def image(tmp_path: Path, family: int) -> Path:
    path = tmp_path / "image.uf2"
    data = shipped_image("rp2040").path.read_bytes()
    path.write_bytes(data[:28] + struct.pack("<I", family) + data[32:])
    return path


def test_image_for_another_board_is_refused(tmp_path: Path) -> None:
    drives.check_image(image(tmp_path, 0xE48BFF56), RP2040)
    with pytest.raises(InputError, match="an image for another board than rp2040"):
        drives.check_image(image(tmp_path, 0x12345678), RP2040)
    with pytest.raises(InputError, match="is no UF2 image"):
        drives.check_image(shipped_image("atmega328p").path, RP2040)


def failing(code: int) -> NoReturn:
    raise OSError(code, os.strerror(code))


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "has no room"),
        (errno.EIO, "went away before"),
        (errno.EROFS, "may not write"),
    ],
)
def test_drive_that_fails_in_the_middle(
    code: int, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drives.os, "write", lambda *_: failing(code))
    with pytest.raises(LinkError, match=words):
        drives.copy_image(shipped_image("rp2040").path, mounted(tmp_path / "drive"))


def test_drive_that_is_gone_or_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = shipped_image("rp2040").path
    with pytest.raises(LinkError, match="went away before"):
        drives.copy_image(path, tmp_path / "gone")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10, 5, 5))
    with pytest.raises(LinkError, match="has no room"):
        drives.copy_image(path, mounted(tmp_path / "drive"))


def test_board_that_restarts_with_the_last_block(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its drive is gone then, which is no failure."""
    monkeypatch.setattr(drives.os, "fsync", lambda _: failing(errno.EIO))
    folder = mounted(tmp_path / "drive")
    drives.copy_image(shipped_image("rp2040").path, folder)
    assert (folder / "unspool.uf2").read_bytes() == shipped_image("rp2040").path.read_bytes()
