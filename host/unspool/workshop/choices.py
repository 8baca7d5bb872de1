"""What can be chosen for a drawing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class PartName(StrEnum):
    DISC = "disc"
    PATTERN = "pattern"
    BRACKET = "bracket"
    HUB = "hub"
    TRAY = "tray"
    COVER = "cover"
    DRUM = "drum"
    WHEEL = "wheel"
    PULLEY = "pulley"
    ALL = "all"


class Form(StrEnum):
    CUT = "cut"
    PRINT = "print"


@dataclass(frozen=True)
class Colours:
    """Cutters choose what to do by the exact colour of a line."""

    cut: str = "#ff0000"
    engrave: str = "#000000"
    notes: str = "#1f5fbf"


PAGES_MM = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}
