"""Faults between the levels of a track file: order and steepness."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from unspool.car.faults import fault, found_text, number, tables
from unspool.errors import Fault
from unspool.language import _, localised

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
        more = _("more than the {before} of the level before it", before=found_text(x0))
        yield fault(("level", index, "distance_m"), found_text(x1), more)
    elif h0 is not None and h1 is not None and abs(h1 - h0) > STEEPEST * 1e3 * (x1 - x0):
        percent = localised(format((h1 - h0) / (x1 - x0) / 10, ".3g"))
        found = _("{height}, a slope of {percent} %", height=found_text(h1), percent=percent)
        most = _("a slope of at most {percent} %", percent=round(100 * STEEPEST))
        yield fault(("level", index, "height_mm"), found, most)
