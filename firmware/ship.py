"""Puts the images that `unspool flash` writes into the package, with what they were made from.

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
from unspool.instrument.firmware.boards import BOARDS
from unspool.instrument.firmware.build import SOURCES, build_image
from unspool.instrument.firmware.image import ABOUT, image_path


def compiler(board: str) -> str:
    name = "arm-none-eabi-gcc" if BOARDS[board].drive else "avr-gcc"
    said = subprocess.run([name, "-dumpversion"], capture_output=True, text=True, check=True)
    return f"{name} {said.stdout.strip()}"


def sources() -> str:
    """SHA-256 of all that the images are made from, whatever compiles them."""
    folders = (SOURCES / "core", *sorted((SOURCES / "boards").iterdir()))
    files = [file for folder in folders for file in sorted(folder.iterdir()) if file.is_file()]
    digest = hashlib.sha256(unspool.__version__.encode())
    for file in [*files, SOURCES / "Makefile"]:
        digest.update(f"\n{file.name}\n".encode() + file.read_bytes())
    return digest.hexdigest()


def about(board: str) -> str:
    return (
        f"[{board}]\n"
        f'firmware = "{board} {unspool.__version__}"\n'
        f'compiler = "{compiler(board)}"\n'
        f'sources = "{sources()}"\n'
    )


def main() -> None:
    for board in BOARDS:
        shutil.copyfile(build_image(board), image_path(board))
    text = "\n".join(about(board) for board in BOARDS)
    ABOUT.write_text(text, encoding="utf-8", newline="\n")
    print(text, end="")


if __name__ == "__main__":
    main()
