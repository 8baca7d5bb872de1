"""The board's program: its image, shipped or built here, comes in.

A board that runs it goes out.
"""

from unspool.instrument.firmware.boards import (
    BOARDS,
    BoardKind,
    kind_of,
    with_clock,
)
from unspool.instrument.firmware.build import build_image
from unspool.instrument.firmware.drive import HOW
from unspool.instrument.firmware.identify import IdentifiedBoard, identify_board
from unspool.instrument.firmware.image import Image, shipped_image
from unspool.instrument.firmware.onto_board import Caller, Flashed, Wanted, put_firmware
from unspool.instrument.firmware.writer import (
    BootLoader,
    OnStage,
    Stage,
    ask_loader,
    find_writer,
    is_old,
    write,
)

__all__ = [
    "BOARDS",
    "HOW",
    "BoardKind",
    "BootLoader",
    "Caller",
    "Flashed",
    "IdentifiedBoard",
    "Image",
    "OnStage",
    "Stage",
    "Wanted",
    "ask_loader",
    "build_image",
    "find_writer",
    "identify_board",
    "is_old",
    "kind_of",
    "put_firmware",
    "shipped_image",
    "with_clock",
    "write",
]
