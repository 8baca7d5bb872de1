"""Faults between the levels of a track file: order and steepness."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from unspool.car.faults import fault, found_text, number, tables
from unspool.errors import Fault

# Rise over rolled distance. A floor that a falling-weight car runs on is far below it; a height in
# the wrong unit is above it.
STEEPEST = 0.3


def track_faults(raw: Mapping[str, Any]) -> list[Fault]:
    return [one for index in range(1, len(tables(raw, "level"))) for one in _step(raw, index)]


def _step(raw: Mapping[str, Any], index: int) -> Iterator[Fault]:
    levels = tables(raw, "level")[index - 1 : index + 1]
    (x0, x1), (h0, h1) = (
        tuple(number(level, key) for level in levels) for key in ("distance_m", "height_mm")
    )
    if x0 is None or x1 is None:
        return
    if not x1 > x0:
        more = f"more than the {found_text(x0)} of the level before it"
        yield fault(("level", index, "distance_m"), found_text(x1), more)
    elif h0 is not None and h1 is not None and abs(h1 - h0) > STEEPEST * 1e3 * (x1 - x0):
        slope = f"{found_text(h1)}, a slope of {(h1 - h0) / (x1 - x0) / 10:.3g} %"
        yield fault(("level", index, "height_mm"), slope, f"a slope of at most {STEEPEST:.0%}")
