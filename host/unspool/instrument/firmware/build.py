"""Builds the firmware and the virtual board from the source tree, if its tools are installed."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from unspool.errors import LinkError
from unspool.instrument.firmware.boards import ATMEGA328P, BOARDS

SOURCES = Path(__file__).parents[4] / "firmware"
BUILD = "build"
# What a build needs, a command or a file, and the Debian package that has it.
AVR = {
    "make": "make",
    "avr-gcc": "gcc-avr",
    "avr-objcopy": "binutils-avr",
    "/usr/lib/avr/include/avr/io.h": "avr-libc",
}
AVR_SIM = {
    "cc": "gcc",
    "/usr/include/simavr/sim_avr.h": "libsimavr-dev",
    "/usr/include/libelf.h": "libelf-dev",
}
ARM = {
    "make": "make",
    "python3": "python3",
    "arm-none-eabi-gcc": "gcc-arm-none-eabi",
    "arm-none-eabi-objcopy": "binutils-arm-none-eabi",
}
ARM_SIM = {"node": "nodejs", "npm": "npm"}


@dataclass(frozen=True)
class Built:
    """image: what is written to a board. program: what the virtual board runs."""

    elf: Path
    image: Path
    program: Path
    virtual_board: Path


def missing_packages(board: str = ATMEGA328P.name, simulated: bool = True) -> list[str]:
    """Debian packages that the build needs and this machine lacks."""
    build, sim = (ARM, ARM_SIM) if BOARDS[board].drive else (AVR, AVR_SIM)
    needed = build | sim if simulated else build
    return [package for what, package in needed.items() if not _is_here(what)]


def _is_here(what: str) -> bool:
    return Path(what).exists() if what.startswith("/") else shutil.which(what) is not None


def build_firmware(board: str = ATMEGA328P.name) -> Built:
    """Bring a board's firmware and the virtual board up to date; quick when nothing changed.

    Raises LinkError, saying what to do.
    """
    instead = "take the virtual board in Python instead"
    _check_sources("The simulated firmware", f"{instead}, or work in a checkout")
    _check_tools("The simulated firmware", missing_packages(board), instead)
    with _alone():
        _make(f"BOARD={board}", "firmware", "sim")
    elf = SOURCES / BUILD / f"unspool-{board}.elf"
    image = elf.with_suffix(BOARDS[board].image_suffix)
    if BOARDS[board].drive:
        return Built(elf, image, image, SOURCES / "sim" / "pico" / "virtual-board.js")
    return Built(elf, image, elf, SOURCES / BUILD / "virtual-board")


def build_image(board: str) -> Path:
    """A board's image, built from the source tree. Raises LinkError, saying what to do."""
    instead = "leave out --build to take the image that came with unspool"
    _check_sources("The firmware", instead)
    _check_tools("The firmware", missing_packages(board, simulated=False), instead)
    with _alone():
        _make(f"BOARD={board}", "firmware")
    return SOURCES / BUILD / f"unspool-{board}{BOARDS[board].image_suffix}"


def _check_sources(what: str, instead: str) -> None:
    if not (SOURCES / "Makefile").exists():
        raise LinkError(
            f"{what} is built from unspool's source tree, and this is an installed copy without"
            f" it: {instead}"
        )


def _check_tools(what: str, missing: list[str], instead: str) -> None:
    if missing:
        raise LinkError(
            f"{what} cannot be built without {', '.join(missing)}: "
            f"install with `sudo apt-get install {' '.join(missing)}`, or {instead}"
        )


@contextlib.contextmanager
def _alone() -> Iterator[None]:
    """One build at a time, if the system has locks for it."""
    build = SOURCES / BUILD
    build.mkdir(exist_ok=True)
    with (build / "lock").open("w") as lock:
        with contextlib.suppress(ImportError):
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _make(*targets: str) -> None:
    made = subprocess.run(
        ["make", "--silent", f"--directory={SOURCES}", *targets], capture_output=True, text=True
    )
    if made.returncode != 0:
        reason = (made.stderr.strip().splitlines() or ["no reason given"])[0]
        raise LinkError(
            f"The firmware in {SOURCES} does not build ({reason}): "
            f"see `make -C {SOURCES}` for all of it"
        )
