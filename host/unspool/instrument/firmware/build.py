"""Builds the firmware and the virtual board from the source tree, if its tools are installed."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from unspool.errors import LinkError
from unspool.instrument.firmware.boards import ATMEGA328P

SOURCES = Path(__file__).parents[4] / "firmware"
BUILD = "build"
TOOLS = {"make": "make", "avr-gcc": "gcc-avr", "avr-objcopy": "binutils-avr"}
FILES = {Path("/usr/lib/avr/include/avr/io.h"): "avr-libc"}
SIM_TOOLS = {"cc": "gcc"}
SIM_FILES = {
    Path("/usr/include/simavr/sim_avr.h"): "libsimavr-dev",
    Path("/usr/include/libelf.h"): "libelf-dev",
}


@dataclass(frozen=True)
class Built:
    elf: Path
    virtual_board: Path


def missing_packages(simulated: bool = True) -> list[str]:
    """Debian packages that the build needs and this machine lacks."""
    tools = TOOLS | SIM_TOOLS if simulated else TOOLS
    files = FILES | SIM_FILES if simulated else FILES
    lacking = [package for tool, package in tools.items() if shutil.which(tool) is None]
    return lacking + [package for file, package in files.items() if not file.exists()]


def build_firmware(board: str = ATMEGA328P.name) -> Built:
    """Bring a board's firmware and the virtual board up to date; quick when nothing changed.

    Raises LinkError, saying what to do.
    """
    instead = "take the virtual board in Python instead"
    _check_sources("The simulated firmware", f"{instead}, or work in a checkout")
    _check_tools("The simulated firmware", missing_packages(), instead)
    with _alone():
        _make(f"BOARD={board}", "firmware", "sim")
    build = SOURCES / BUILD
    return Built(build / f"unspool-{board}.elf", build / "virtual-board")


def build_image(board: str) -> Path:
    """A board's image, built from the source tree. Raises LinkError, saying what to do."""
    instead = "leave out --build to take the image that came with unspool"
    _check_sources("The firmware", instead)
    _check_tools("The firmware", missing_packages(simulated=False), instead)
    with _alone():
        _make(f"BOARD={board}", "firmware")
    return SOURCES / BUILD / f"unspool-{board}.hex"


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
