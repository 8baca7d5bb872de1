"""The firmware compiles without a warning, passes cppcheck and keeps to its flash and RAM."""

from __future__ import annotations

import importlib.util
import re
import shutil
import struct
import subprocess
import tempfile
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
    assert [package for board in BOARDS for package in missing_packages(board)] == []
    assert shutil.which("cppcheck")


def test_builds_elf_and_hex() -> None:
    built = build_firmware()
    assert built.elf.read_bytes()[:4] == b"\x7fELF"
    assert built.elf.with_suffix(".hex").read_text().endswith(":00000001FF\n")


def test_builds_a_drive_image_for_the_rp2040() -> None:
    """Its blocks lie one after the other from the start of the flash, and none is left out."""
    image = build_firmware("rp2040").image.read_bytes()
    blocks = [image[at : at + 512] for at in range(0, len(image), 512)]
    for i, block in enumerate(blocks):
        number = struct.unpack("<8I", block[:32])
        assert number[:2] == (0x0A324655, 0x9E5D5157)
        where = (0x10000000 + 256 * i, 256, i, len(blocks))
        assert number[2:] == (0x2000, *where, 0xE48BFF56)
        assert block[-4:] == bytes.fromhex("306fb10a")


def test_boot_rom_finds_a_spoilt_loader() -> None:
    """Its CRC-32 has the usual polynomial, not reflected: the check value of "123456789"."""
    spec = importlib.util.spec_from_file_location("image", SOURCES / "boards/rp2040/image.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert module.crc32(b"123456789") == 0x0376E6E7
    built = build_firmware("rp2040")
    spoilt = bytearray(built.image.read_bytes())
    spoilt[32 + 8] ^= 1
    with tempfile.NamedTemporaryFile(suffix=".uf2") as file:
        file.write(spoilt)
        file.flush()
        ended = subprocess.run(
            [built.virtual_board, "--lines", file.name], input="", capture_output=True, text=True
        )
    assert ended.returncode == 2
    assert "no second-stage boot loader" in ended.stderr


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
        ("atmega328p", 20_480, 2_048),
        ("atmega328p-8mhz", 20_480, 2_048),
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


def test_rp2040_keeps_to_the_budget(own_build: str) -> None:
    made = make("budget", own_build, "BOARD=rp2040")
    assert made.returncode == 0, made.stdout + made.stderr
    assert re.search(r"^flash \d+ of 20480 bytes$", made.stdout, re.MULTILINE)
    assert re.search(r"^RAM \d+ of 4096 bytes, and \d{6} for the log$", made.stdout, re.MULTILINE)
    assert re.search(r"^stack \d+ of 4096 bytes seen; .* 2048 wanted$", made.stdout, re.MULTILINE)


@pytest.mark.parametrize("less", ["FLASH_BUDGET=1000", "RAM=1000", "STACK_RESERVE=4000"])
def test_budget_of_the_rp2040_is_a_limit(own_build: str, less: str) -> None:
    made = make("budget", own_build, "BOARD=rp2040", less)
    assert made.returncode != 0
    assert less.partition("=")[2] in made.stdout, "it failed for another reason"


@pytest.mark.parametrize("less", ["FLASH_BUDGET=1000", "RAM=1900", "RAM_RESERVE=1000"])
def test_budget_is_a_limit(own_build: str, less: str) -> None:
    made = make("budget", own_build, less)
    assert made.returncode != 0
    assert less.partition("=")[2] in made.stdout, "it failed for another reason"


@pytest.mark.parametrize("board", [name for name, kind in BOARDS.items() if not kind.drive])
def test_no_divide_and_no_float_in_an_interrupt(board: str) -> None:
    """Interrupts call nothing at all: a division or a float on this chip would be a call."""
    listing = subprocess.run(
        ["avr-objdump", "-d", build_firmware(board).elf], capture_output=True, text=True, check=True
    ).stdout
    bodies = re.findall(r"<(__vector_\d+)>:\n(.*?)(?=\n\n|\Z)", listing, re.DOTALL)
    assert len(bodies) >= 5
    for name, body in bodies:
        assert not re.search(r"\tr?i?call\t", body), name


def test_interrupts_of_the_rp2040_run_from_ram_and_call_nothing() -> None:
    """While the flash is written nothing in it can run."""
    elf = build_firmware("rp2040").elf
    command = ["arm-none-eabi-objdump", "-d", "-j", ".data", elf]
    listing = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    for name in ("capture_interrupt", "idle_interrupt"):
        body = re.search(rf"\n2004\w+ <{name}>:\n(.*?)(?=\n\n|\Z)", listing, re.DOTALL)
        assert body, f"{name} is not in RAM"
        assert not re.search(r"\tblx?\t", body[1])


def test_missing_tools_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(firmware_build, "AVR", {"no-such-compiler": "gcc-avr"})
    with pytest.raises(LinkError, match=r"without gcc-avr: install with `sudo apt-get install"):
        build_firmware()


def test_installed_copy_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(firmware_build, "SOURCES", tmp_path)
    with pytest.raises(LinkError, match="source tree"):
        build_firmware()
