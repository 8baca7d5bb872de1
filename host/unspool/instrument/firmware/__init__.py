"""The board's program: its image, shipped or built here, comes in.

A board that runs it goes out.
"""

from unspool.instrument.firmware.build import build_image
from unspool.instrument.firmware.identify import IdentifiedBoard, identify_board
from unspool.instrument.firmware.image import Image, shipped_image
from unspool.instrument.firmware.writer import Stage, find_writer, write

__all__ = [
    "IdentifiedBoard",
    "Image",
    "Stage",
    "build_image",
    "find_writer",
    "identify_board",
    "shipped_image",
    "write",
]
