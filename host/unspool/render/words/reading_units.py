"""The units in which a reader sees figures: metres and grams, or feet, inches and ounces.

All that is computed, every file and every JSON keep SI. Only words and pictures pass through here,
and only for a reader who chose so. The factors are exact (Thompson and Taylor, NIST Special
Publication 811, 2008, appendix B.8). A foot is 0.3048 m, an inch is 25.4 mm, and a pound is
0.453 592 37 kg.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum

FOOT_M = 0.3048
INCH_M = 0.0254
POUND_KG = 0.45359237
OUNCE_KG = POUND_KG / 16.0


class ReadingUnits(StrEnum):
    """What a reader chose."""

    METRIC = "metric"
    FEET = "feet"


@dataclass(frozen=True)
class Reading:
    """unit: what is shown. factor: of a value in the metric unit. digits: decimals to add."""

    unit: str
    factor: float = 1.0
    digits: int = 0


_FEET = {
    "m": Reading("ft", 1.0 / FOOT_M),
    "m/s": Reading("ft/s", 1.0 / FOOT_M),
    "m/s²": Reading("ft/s²", 1.0 / FOOT_M),
    "m²/s²": Reading("ft²/s²", 1.0 / FOOT_M**2),
    "cm": Reading("in", 1e-2 / INCH_M, 1),
    "mm": Reading("in", 1e-3 / INCH_M, 2),
    "mm/s": Reading("in/s", 1e-3 / INCH_M, 2),
    "cm²": Reading("in²", 1e-4 / INCH_M**2, 1),
    "kg": Reading("lb", 1.0 / POUND_KG),
    "g": Reading("oz", 1e-3 / OUNCE_KG, 2),
}

_chosen: ContextVar[ReadingUnits] = ContextVar("reading_units", default=ReadingUnits.METRIC)


def choose(units: ReadingUnits) -> None:
    """For all words and pictures that are made in the present context."""
    _chosen.set(units)


@contextmanager
def reading_in(units: ReadingUnits) -> Iterator[None]:
    """For all words and pictures within the block, such as lines of a file on a page."""
    token = _chosen.set(units)
    try:
        yield
    finally:
        _chosen.reset(token)


def reading_of(unit: str) -> Reading:
    """What the reader sees in place of the unit; itself if it stays, as seconds and newtons do."""
    return _FEET.get(unit, Reading(unit)) if _chosen.get() is ReadingUnits.FEET else Reading(unit)


def as_read(value: float, unit: str) -> tuple[float, str]:
    """The value and its unit as the reader sees them."""
    found = reading_of(unit)
    return value * found.factor, found.unit
