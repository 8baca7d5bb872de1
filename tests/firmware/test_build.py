"""The firmware compiles without a warning, passes cppcheck and keeps to its flash and RAM."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from unspool.errors import LinkError
from unspool.instrument.firmware import BOARDS
from unspool.instrument.firmware import build as firmware_build
from unspool.instrument.firmware.build import SOURCES, build_firmware, missing_packages

pytestmark = pytest.mark.firmware


def make(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = ["make", "--silent", f"--directory={SOURCES}", *arguments]
    return subprocess.run(command, capture_output=True, text=True)


@pytest.fixture
def own_build(tmp_path: Path) -> str:
    """What was built, in a folder that no other process writes to."""
    for board in BOARDS:
        build_firmware(board)
    shutil.copytree(build_firmware().elf.parent, tmp_path / "build")
    return f"BUILD={tmp_path / 'build'}"


def test_tools_are_here() -> None:
    assert missing_packages() == []
    assert shutil.which("cppcheck")


def test_builds_elf_and_hex() -> None:
    built = build_firmware()
    assert built.elf.read_bytes()[:4] == b"\x7fELF"
    assert built.elf.with_suffix(".hex").read_text().endswith(":00000001FF\n")


def test_hex_leaves_the_eeprom_alone() -> None:
    """Flashing must not set the boot number back; its cells lie at 0x810000 in the ELF."""
    sections = subprocess.run(
        ["avr-objdump", "-h", build_firmware().elf], capture_output=True, text=True, check=True
    ).stdout
    assert re.search(r"\.eeprom +\w+ +00810000", sections), "the ELF has no such cells"
    records = build_firmware().elf.with_suffix(".hex").read_text().split()
    assert not [record for record in records if record[7:9] == "04" and record[9:13] == "0081"]


def test_cppcheck_finds_nothing() -> None:
    made = make("check")
    assert made.returncode == 0, made.stderr


@pytest.mark.parametrize(
    ("board", "flash", "memory"),
    [
        ("atmega328p", 18_432, 2_048),
        ("atmega328p-8mhz", 18_432, 2_048),
        ("atmega2560", 20_480, 8_192),
    ],
)
def test_keeps_to_the_budget(own_build: str, board: str, flash: int, memory: int) -> None:
    made = make("budget", own_build, f"BOARD={board}")
    assert made.returncode == 0, made.stdout + made.stderr
    assert re.search(rf"^flash \d+ of {flash} bytes$", made.stdout, re.MULTILINE)
    ram = rf"^RAM \d+ of {memory} bytes: \d+ data, at most (\d+) stack \((\d+) seen\)"
    said = re.search(ram, made.stdout, re.MULTILINE)
    assert said
    assert int(said[2]) <= int(said[1]) <= int(said[2]) + 40, "the bound is close, too"


@pytest.mark.parametrize("less", ["FLASH_BUDGET=1000", "RAM=1900", "RAM_RESERVE=1000"])
def test_budget_is_a_limit(own_build: str, less: str) -> None:
    made = make("budget", own_build, less)
    assert made.returncode != 0
    assert less.partition("=")[2] in made.stdout, "it failed for another reason"


@pytest.mark.parametrize("board", BOARDS)
def test_no_divide_and_no_float_in_an_interrupt(board: str) -> None:
    """Interrupts call nothing at all: a division or a float on this chip would be a call."""
    listing = subprocess.run(
        ["avr-objdump", "-d", build_firmware(board).elf], capture_output=True, text=True, check=True
    ).stdout
    bodies = re.findall(r"<(__vector_\d+)>:\n(.*?)(?=\n\n|\Z)", listing, re.DOTALL)
    assert len(bodies) >= 5
    for name, body in bodies:
        assert not re.search(r"\tr?i?call\t", body), name


def test_missing_tools_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(firmware_build, "TOOLS", {"no-such-compiler": "gcc-avr"})
    with pytest.raises(LinkError, match=r"without gcc-avr: install with `sudo apt-get install"):
        build_firmware()


def test_installed_copy_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(firmware_build, "SOURCES", tmp_path)
    with pytest.raises(LinkError, match="source tree"):
        build_firmware()
