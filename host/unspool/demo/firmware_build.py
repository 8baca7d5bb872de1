"""Builds the firmware and the virtual board from the source tree, where its tools are installed."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from unspool.errors import LinkError

SOURCES = Path(__file__).parents[3] / "firmware"
TOOLS = {"make": "make", "cc": "gcc", "avr-gcc": "gcc-avr"}
FILES = {
    Path("/usr/include/simavr/sim_avr.h"): "libsimavr-dev",
    Path("/usr/include/libelf.h"): "libelf-dev",
    Path("/usr/lib/avr/include/avr/io.h"): "avr-libc",
}


@dataclass(frozen=True)
class Built:
    elf: Path
    virtual_board: Path


def missing_packages() -> list[str]:
    """Debian packages that the build needs and this machine lacks."""
    tools = [package for tool, package in TOOLS.items() if shutil.which(tool) is None]
    return tools + [package for file, package in FILES.items() if not file.exists()]


def build_firmware() -> Built:
    """Bring both up to date; quick when nothing changed. Raises LinkError, saying what to do."""
    if not (SOURCES / "Makefile").exists():
        raise LinkError(
            "The simulated firmware is built from unspool's source tree, and this is an installed "
            "copy without it: take the virtual board in Python instead, or work in a checkout"
        )
    if missing := missing_packages():
        raise LinkError(
            f"The simulated firmware cannot be built without {', '.join(missing)}: "
            f"install with `sudo apt-get install {' '.join(missing)}`, "
            "or take the virtual board in Python instead"
        )
    import fcntl  # not on every system that can show the page

    build = SOURCES / "build"
    build.mkdir(exist_ok=True)
    with (build / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        _make("firmware", "sim")
    return Built(build / "unspool-atmega328p.elf", build / "virtual-board")


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
