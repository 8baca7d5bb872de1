"""Puts the image that `unspool flash` writes into the package, with what it was made from.

Run it after a change of the firmware or of the version: `python firmware/ship.py`.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "host"))

import unspool
from unspool.instrument.firmware.build import SOURCES, build_image
from unspool.instrument.firmware.image import ABOUT, SHIPPED

BOARD = "atmega328p"


def compiler() -> str:
    said = subprocess.run(["avr-gcc", "-dumpversion"], capture_output=True, text=True, check=True)
    return f"avr-gcc {said.stdout.strip()}"


def sources() -> str:
    """SHA-256 of all that the image is made from, whatever compiles it."""
    folders = (SOURCES / "core", SOURCES / "boards" / BOARD)
    files = [file for folder in folders for file in sorted(folder.iterdir())]
    digest = hashlib.sha256(unspool.__version__.encode())
    for file in [*files, SOURCES / "Makefile"]:
        digest.update(f"\n{file.name}\n".encode() + file.read_bytes())
    return digest.hexdigest()


def about() -> str:
    return (
        f'firmware = "{BOARD} {unspool.__version__}"\n'
        f'compiler = "{compiler()}"\n'
        f'sources = "{sources()}"\n'
    )


def main() -> None:
    shutil.copyfile(build_image(), SHIPPED)
    ABOUT.write_text(about(), encoding="utf-8", newline="\n")
    print(f"{SHIPPED}: {about()}", end="")


if __name__ == "__main__":
    main()
