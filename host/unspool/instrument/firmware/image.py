"""The images that are shipped with this package, and what they were made from.

firmware/ship.py makes them; a test fails when one is not what the sources build.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from unspool.instrument.firmware.boards import BOARDS

FOLDER = Path(__file__).parent
ABOUT = FOLDER / "images.toml"


@dataclass(frozen=True)
class Image:
    """firmware: how a board that runs it names itself. sources: SHA-256 of what it is made from."""

    path: Path
    firmware: str
    compiler: str
    sources: str


def image_path(board: str) -> Path:
    return FOLDER / f"unspool-{board}{BOARDS[board].image_suffix}"


def shipped_image(board: str) -> Image:
    about = tomllib.loads(ABOUT.read_text(encoding="utf-8"))[board]
    return Image(image_path(board), about["firmware"], about["compiler"], about["sources"])
