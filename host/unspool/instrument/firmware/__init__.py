"""The board's program as this package brings it: its image, how it is built, and onto a board."""

from unspool.instrument.firmware.build import build_image
from unspool.instrument.firmware.identify import MetBoard, meet
from unspool.instrument.firmware.image import Image, shipped_image
from unspool.instrument.firmware.writer import Stage, find_writer, write

__all__ = [
    "Image",
    "MetBoard",
    "Stage",
    "build_image",
    "find_writer",
    "meet",
    "shipped_image",
    "write",
]
