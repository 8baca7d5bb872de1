"""Kerf: a cutting beam removes a line of its own width, half of it on either side of the path.

So a hole comes out one kerf wider than it was drawn and a part one kerf narrower, in each
direction. All lengths in millimetres.
"""

from __future__ import annotations

from dataclasses import replace

import shapely

from unspool.errors import Fault, all_faults
from unspool.workshop.outline import Circle, Outline, polygon_of
from unspool.workshop.panel import Panel


def allow_for_kerf(panel: Panel, kerf_mm: float) -> Panel:
    """The panel as it must be drawn, so that it comes out as asked.

    Raises InputError if a hole is finer than the beam.
    """
    if kerf_mm == 0.0:
        return panel
    try:
        holes = tuple(shifted(hole, -kerf_mm / 2.0) for hole in panel.holes)
    except ValueError:
        fault = Fault("kerf_mm", f"{kerf_mm:g}", f"less than the narrowest opening of {panel.name}")
        raise all_faults("the part cannot be made as asked", [fault]) from None
    return replace(panel, outer=shifted(panel.outer, kerf_mm / 2.0), holes=holes)


def shifted(outline: Outline, outwards_mm: float) -> Outline:
    """The outline moved outwards on all sides, with its corners kept sharp.

    Raises ValueError if nothing, or more than one piece, is left.
    """
    if isinstance(outline, Circle):
        diameter_mm = outline.diameter_mm + 2.0 * outwards_mm
        if diameter_mm <= 0.0:
            raise ValueError("a hole narrower than the beam")
        return replace(outline, diameter_mm=diameter_mm)
    moved = shapely.buffer(outline.area(), outwards_mm, join_style="mitre", mitre_limit=5.0)
    return polygon_of(moved)
