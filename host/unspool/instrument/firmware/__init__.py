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
from unspool.instrument.firmware.drive import (
    HOW,
    board_drives,
    check_drive,
    check_image,
    copy_image,
    only_drive,
)
from unspool.instrument.firmware.identify import IdentifiedBoard, identify_board
from unspool.instrument.firmware.image import Image, shipped_image
from unspool.instrument.firmware.writer import (
    BootLoader,
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
    "IdentifiedBoard",
    "Image",
    "Stage",
    "ask_loader",
    "board_drives",
    "build_image",
    "check_drive",
    "check_image",
    "copy_image",
    "find_writer",
    "identify_board",
    "is_old",
    "kind_of",
    "only_drive",
    "shipped_image",
    "with_clock",
    "write",
]
