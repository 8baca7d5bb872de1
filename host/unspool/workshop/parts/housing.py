"""What holds and shades the electronics: the board's tray, and a cover against light."""

from __future__ import annotations

from math import pi

from unspool.workshop.outline import Circle, Outline, oblong, rectangle, rounded
from unspool.workshop.panel import Panel
from unspool.workshop.parts.bracket import BASE_MM, depth_mm, outermost_mm
from unspool.workshop.parts.measures import Measures
from unspool.workshop.parts.part import Part

RIM_MM = 9.0
SCREW_MM = 3.2
TIE_MM = (2.5, 6.0)  # cable ties pass through
OVERLAP_MM = 10.0


def tray(measures: Measures) -> Part:
    """A plate under the board: its own holes, or slots for two ties; four holes for the car."""
    shape = measures.board_shape
    outer = rounded(shape.length_mm + 2.0 * RIM_MM, shape.width_mm + 2.0 * RIM_MM, 4.0)
    x, y = shape.length_mm / 2.0 + RIM_MM / 2.0, shape.width_mm / 2.0 + RIM_MM / 2.0
    corners = tuple(Circle(SCREW_MM, sx * x, sy * y) for sx in (-1, 1) for sy in (-1, 1))
    held = _board_holes(measures) or _tie_slots(measures)
    panel = Panel("tray", outer, (*corners, *held), engraved=(_board_edge(measures),))
    note = f"Tray for a {measures.board} board of {shape.length_mm:g} by {shape.width_mm:g} mm"
    how = "on spacers of 5 mm." if shape.holes else "held by two cable ties, on foam."
    return Part((panel,), (f"{note}, {how}", "Put it low, and out of the weight's way."))


def _board_holes(measures: Measures) -> tuple[Outline, ...]:
    shape = measures.board_shape
    left, bottom = -shape.length_mm / 2.0, shape.width_mm / 2.0
    return tuple(Circle(shape.hole_mm, left + x, bottom - y) for x, y in shape.holes)


def _tie_slots(measures: Measures) -> tuple[Outline, ...]:
    shape = measures.board_shape
    x, y = shape.length_mm / 4.0, shape.width_mm / 2.0 + TIE_MM[0]
    width, length = TIE_MM
    return tuple(rectangle(length, width, sx * x, sy * y) for sx in (-1, 1) for sy in (-1, 1))


def _board_edge(measures: Measures) -> tuple[tuple[float, float], ...]:
    shape = measures.board_shape
    corners = rectangle(shape.length_mm, shape.width_mm).corners
    return (*corners, corners[0])


def cover(measures: Measures) -> Part:
    """A lid over the disc and the sensors, and a strip of black card around them."""
    radius_mm = outermost_mm(measures) + 2.0
    lid = Panel("cover", Circle(2.0 * radius_mm), (Circle(measures.shaft_mm + 3.0),))
    height_mm = depth_mm(measures) + 4.0
    length_mm = (2.0 * pi * radius_mm - BASE_MM[0] + OVERLAP_MM) / 2.0  # a half fits on paper
    tie = oblong(SCREW_MM, 2.0 * SCREW_MM, length_mm / 2.0 - 6.0)
    strip = Panel("cover strip", rectangle(length_mm, height_mm), (tie,), count=2)
    notes = (
        f"Cover: glue both strips around the lid, {OVERLAP_MM:g} mm over each other, and leave "
        f"{BASE_MM[0]:g} mm open for the bracket's base. Cut them from black card of 0.5 to 1 mm.",
        f"It is {2.0 * radius_mm:.0f} mm across. If the floor is near, cut it flat below the base.",
        "A cable tie through their two long holes holds the cover around the bracket's base.",
    )
    return Part((lid, strip), notes)
