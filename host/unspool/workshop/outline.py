"""Closed lines in a plane: what a cutter follows. Lengths in millimetres, y downwards as on paper.

Circles stay circles up to the file, because a drill or a cutter makes them truer than any polygon.
All else is a polygon. Arcs become chords that leave the arc by at most `SAG_MM`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import acos, ceil, cos, pi, sin

import shapely

Point = tuple[float, float]

SAG_MM = 0.002  # a tenth of what the best cutters hold


@dataclass(frozen=True)
class Circle:
    diameter_mm: float
    x_mm: float = 0.0
    y_mm: float = 0.0

    def moved(self, dx_mm: float, dy_mm: float) -> Circle:
        return replace(self, x_mm=self.x_mm + dx_mm, y_mm=self.y_mm + dy_mm)

    def area(self) -> shapely.Polygon:
        """The disc inside, as a polygon of the same area."""
        return shapely.Point(self.x_mm, self.y_mm).buffer(self.diameter_mm / 2.0, quad_segs=64)


@dataclass(frozen=True)
class Polygon:
    """Corners in order. The last is joined to the first."""

    corners: tuple[Point, ...]

    def moved(self, dx_mm: float, dy_mm: float) -> Polygon:
        return Polygon(tuple((x + dx_mm, y + dy_mm) for x, y in self.corners))

    def area(self) -> shapely.Polygon:
        return shapely.Polygon(self.corners)


Outline = Circle | Polygon


def arc(radius_mm: float, start_rad: float, end_rad: float) -> list[Point]:
    """Points of an arc about the origin. Angles run clockwise from the top, on paper."""
    step = 2.0 * acos(1.0 - SAG_MM / radius_mm)
    pieces = max(1, ceil(abs(end_rad - start_rad) / step))
    turn = (end_rad - start_rad) / pieces
    return [polar(radius_mm, start_rad + turn * i) for i in range(pieces + 1)]


def polar(radius_mm: float, clockwise_rad: float) -> Point:
    """The point at `radius_mm` from the origin, `clockwise_rad` from the top."""
    return radius_mm * sin(clockwise_rad), -radius_mm * cos(clockwise_rad)


def sector(inner_mm: float, outer_mm: float, start_rad: float, end_rad: float) -> Polygon:
    """A piece of a ring between two radii and two angles."""
    inner, outer = arc(inner_mm, start_rad, end_rad), arc(outer_mm, start_rad, end_rad)
    return Polygon((*outer, *reversed(inner)))


def rectangle(width_mm: float, height_mm: float, x_mm: float = 0.0, y_mm: float = 0.0) -> Polygon:
    """A rectangle about its middle."""
    w, h = width_mm / 2.0, height_mm / 2.0
    return Polygon(((-w, -h), (w, -h), (w, h), (-w, h))).moved(x_mm, y_mm)


def oblong(width_mm: float, length_mm: float, x_mm: float = 0.0, y_mm: float = 0.0) -> Polygon:
    """A long hole with round ends, along y: a screw can be shifted in it by length - width."""
    r, shift = width_mm / 2.0, (length_mm - width_mm) / 2.0
    top = [(x, y - shift) for x, y in arc(r, -pi / 2.0, pi / 2.0)]
    bottom = [(x, y + shift) for x, y in arc(r, pi / 2.0, 3.0 * pi / 2.0)]
    return Polygon((*top, *bottom)).moved(x_mm, y_mm)


def rounded(width_mm: float, height_mm: float, corner_mm: float) -> Polygon:
    """A rectangle about the origin with round corners."""
    w, h = width_mm / 2.0 - corner_mm, height_mm / 2.0 - corner_mm
    middles = ((w, -h), (w, h), (-w, h), (-w, -h))
    corners: list[Point] = []
    for quarter, (x, y) in enumerate(middles):
        around = arc(corner_mm, quarter * pi / 2.0, (quarter + 1) * pi / 2.0)
        corners += [(x + dx, y + dy) for dx, dy in around]
    return Polygon(tuple(corners))


def hull(outlines: Iterable[Outline]) -> Polygon:
    """The line that a tight string would take around all of them."""
    around = shapely.unary_union([outline.area() for outline in outlines]).convex_hull
    return polygon_of(around)


def polygon_of(area: shapely.Geometry) -> Polygon:
    """The outside of one connected area. Raises ValueError if it is none."""
    if not isinstance(area, shapely.Polygon) or area.is_empty:
        raise ValueError("more than one area, or none")
    return Polygon(tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1]))


def turned(outline: Outline, clockwise_rad: float) -> Outline:
    """The outline turned about the origin, clockwise on paper."""
    c, s = cos(clockwise_rad), sin(clockwise_rad)
    if isinstance(outline, Circle):
        x, y = outline.x_mm, outline.y_mm
        return replace(outline, x_mm=c * x - s * y, y_mm=s * x + c * y)
    return Polygon(tuple((c * x - s * y, s * x + c * y) for x, y in outline.corners))
