"""A panel: one flat piece as it shall be when it is finished, before any allowance for a kerf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import shapely

from unspool.errors import Fault, all_faults
from unspool.workshop.outline import Outline, Point, Polygon

THINNEST_MM = 0.8  # a thinner web does not outlive the cutter, and a thinner slot closes
TEXT_MM = 3.0
LETTER_MM = 0.6 * TEXT_MM  # a wide sans-serif face takes that much a letter


@dataclass(frozen=True)
class Mark:
    """A line or a name that is only to be read: `points` may be empty, and so may `text`.

    The text stands at `at`, centred.
    """

    points: tuple[Point, ...] = ()
    text: str = ""
    at: Point = (0.0, 0.0)

    def corners(self) -> tuple[Point, ...]:
        """Of the box that the text takes, about; none without a text."""
        if not self.text:
            return ()
        half, (x, y) = len(self.text) * LETTER_MM / 2.0, self.at
        return (x - half, y - TEXT_MM / 2.0), (x + half, y + TEXT_MM / 2.0)


@dataclass(frozen=True)
class Panel:
    """holes: cut through. engraved: lines on the face. ink: what a printer fills with black; if
    there is none, it fills the whole panel. count: how many are needed.
    """

    name: str
    outer: Outline
    holes: tuple[Outline, ...] = ()
    engraved: tuple[tuple[Point, ...], ...] = ()
    ink: tuple[Polygon, ...] = ()
    marks: tuple[Mark, ...] = ()
    count: int = 1

    def area(self) -> shapely.Geometry:
        """The material of the finished panel."""
        return self.outer.area().difference(shapely.unary_union([h.area() for h in self.holes]))

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all that is drawn."""
        marked = [p for m in self.marks for p in (*m.points, *m.corners())]
        around = shapely.union_all([self.outer.area(), shapely.MultiPoint(marked)])
        left, top, right, bottom = around.bounds
        return left, top, right, bottom


def checked(panel: Panel, thinnest_mm: float = THINNEST_MM) -> Panel:
    """The same panel. Raises InputError if nobody could cut it."""
    faults = tuple(_faults(panel, thinnest_mm))
    if faults:
        raise all_faults("the part cannot be made as asked", faults)
    return panel


def _faults(panel: Panel, thinnest_mm: float) -> Iterator[Fault]:
    for outline in (panel.outer, *panel.holes):
        if not outline.area().is_valid:
            yield Fault(panel.name, "a line that crosses itself", "an outline that can be cut")
            return
    narrow = _narrowest(panel)
    if narrow < thinnest_mm - 1e-6:
        found = f"{narrow:.2f} mm of material" if narrow > 0.0 else "openings that meet"
        yield Fault(panel.name, found, f"{thinnest_mm:g} mm or more between its openings")


def _narrowest(panel: Panel) -> float:
    """Least distance between two openings, or between one and the rim."""
    holes = [h.area() for h in panel.holes]
    rim = panel.outer.area().exterior
    inside = [panel.outer.area().covers(h) for h in holes]
    if not all(inside):
        return 0.0
    tree = shapely.STRtree(holes)
    least = min((h.distance(rim) for h in holes), default=float("inf"))
    for index, hole in enumerate(holes):
        near = tree.query(hole, predicate="dwithin", distance=least)
        least = min([least, *(hole.distance(holes[i]) for i in near if i != index)])
    return float(least)


def moved(panel: Panel, dx_mm: float, dy_mm: float) -> Panel:
    def shift(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((x + dx_mm, y + dy_mm) for x, y in points)

    marks = (replace(m, points=shift(m.points), at=shift((m.at,))[0]) for m in panel.marks)
    return replace(
        panel,
        outer=panel.outer.moved(dx_mm, dy_mm),
        holes=tuple(h.moved(dx_mm, dy_mm) for h in panel.holes),
        engraved=tuple(shift(line) for line in panel.engraved),
        ink=tuple(area.moved(dx_mm, dy_mm) for area in panel.ink),
        marks=tuple(marks),
    )
