"""The image that is shipped with this package, and what it was made from.

firmware/ship.py makes it; a test fails when it is not what the sources build.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent
SHIPPED = FOLDER / "unspool-atmega328p.hex"
ABOUT = FOLDER / "image.toml"


@dataclass(frozen=True)
class Image:
    """firmware: how a board that runs it names itself. sources: SHA-256 of what it is made from."""

    path: Path
    firmware: str
    compiler: str
    sources: str


def shipped_image() -> Image:
    about = tomllib.loads(ABOUT.read_text(encoding="utf-8"))
    return Image(SHIPPED, about["firmware"], about["compiler"], about["sources"])
