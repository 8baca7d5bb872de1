"""A floor's slope profile as rows of words."""

from __future__ import annotations

from unspool.render.words.rows import Row
from unspool.render.words.units import quantity
from unspool.study.calibration import SlopeProfile

FLOOR_HEAD = ("at", "height", "90 % between", "and")


def floor_rows(floor: SlopeProfile) -> list[Row]:
    """The columns of FLOOR_HEAD."""
    rows = zip(floor.distance_m, floor.height_m, floor.low_m, floor.high_m, strict=True)
    return [
        (quantity(x, "m"), *(quantity(1e3 * height, "mm", 1) for height in heights))
        for x, *heights in rows
    ]


def floor_caption(floor: SlopeProfile) -> str:
    """What the heights are worth."""
    certain = "The intervals of the losses above hold what this leaves open."
    if floor.mean_slope_known:
        return f"Height of the floor over its first point; the band holds 90 %. {certain}"
    return (
        "Height of the floor over the straight line from its first to its last point; the band "
        f"holds 90 %. {certain}"
    )
