"""A page to draw on: 600 units wide, so that its letters can be read on a telephone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from unspool.workshop.outline import Circle, Outline

Point = tuple[float, float]

WIDE = 600.0
SIZE, SMALL = 20.0, 17.0
INK, GREY, PAPER = "#14181d", "#6b7480", "#ffffff"
# Neighbours differ in lightness too, for those who do not see the colours.
CARD, WOOD, STEEL, DARK = "#f2f4f6", "#e6d5b8", "#c3cad2", "#3a414a"
MODULE = "#cfe0ef"  # a sensor's circuit board
LAMP = "#ffd24d"
BLUE, GREEN, ORANGE, PURPLE = "#0b5394", "#0b6e4f", "#a63603", "#6a3d9a"


@dataclass(frozen=True)
class View:
    """Where the millimetre (0, 0) lies on the page, and how many units a millimetre takes."""

    x: float
    y: float
    scale: float

    def at(self, x_mm: float, y_mm: float) -> Point:
        return self.x + self.scale * x_mm, self.y + self.scale * y_mm


class Page:
    """Raises nothing; a test sees that no words overlap or leave it."""

    def __init__(self, title: str, height: float) -> None:
        box = f"0 0 {WIDE:g} {height:g}"
        self._root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "width": f"{WIDE:g}",
                "height": f"{height:g}",
                "viewBox": box,
                "font-family": "sans-serif",
                "font-size": f"{SIZE:g}",
            },
        )
        ET.SubElement(self._root, "title").text = title
        self._put("rect", width=WIDE, height=height, fill=PAPER)

    def svg(self) -> str:
        ET.indent(self._root)
        return ET.tostring(self._root, encoding="unicode", xml_declaration=True) + "\n"

    def _put(self, kind: str, **given: object) -> ET.Element:
        text = {
            name.replace("_", "-"): f"{value:.4g}" if isinstance(value, float) else str(value)
            for name, value in given.items()
            if value is not None
        }
        return ET.SubElement(self._root, kind, text)

    def text(
        self,
        at: Point,
        words: str,
        anchor: str = "start",
        *,
        size: float = SIZE,
        bold: bool = False,
        colour: str = INK,
    ) -> None:
        weight = "bold" if bold else None
        x, y = (round(n, 1) for n in at)
        # The halo keeps the words readable where a line passes under them.
        made = self._put(
            "text",
            x=x,
            y=y,
            text_anchor=anchor,
            font_size=size,
            font_weight=weight,
            fill=colour,
            stroke=PAPER,
            stroke_width="4",
            stroke_linejoin="round",
            paint_order="stroke",
        )
        made.text = words

    def words(
        self, at: Point, lines: Iterable[str], anchor: str = "start", colour: str = INK
    ) -> None:
        """Several small lines, the first at `at`."""
        x, y = at
        for number, line in enumerate(lines):
            self.text((x, y + 24.0 * number), line, anchor, size=SMALL, colour=colour)

    def middle(self, at: Point, lines: Iterable[str]) -> None:
        """Small lines about a middle."""
        self.words(at, lines, "middle")

    def line(
        self,
        points: Sequence[Point],
        colour: str = INK,
        width: float = 2.0,
        dash: str | None = None,
    ) -> None:
        path = " L ".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self._put(
            "path",
            d=f"M {path}",
            fill="none",
            stroke=colour,
            stroke_width=width,
            stroke_dasharray=dash,
        )

    def area(
        self, points: Sequence[Point], fill: str = CARD, stroke: str = INK, width: float = 2.0
    ) -> None:
        path = " L ".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self._put("path", d=f"M {path} Z", fill=fill, stroke=stroke, stroke_width=width)

    def box(
        self, at: Point, size: Point, fill: str = CARD, stroke: str = INK, corner: float = 0.0
    ) -> None:
        """at: the upper left corner."""
        (x, y), (width, height) = at, size
        self._put(
            "rect",
            x=round(x, 1),
            y=round(y, 1),
            width=round(width, 1),
            height=round(height, 1),
            rx=corner or None,
            fill=fill,
            stroke=stroke,
            stroke_width=2.0,
        )

    def circle(
        self,
        at: Point,
        radius: float,
        fill: str = CARD,
        stroke: str = INK,
        width: float = 2.0,
        dash: str | None = None,
    ) -> None:
        x, y = (round(n, 1) for n in at)
        look = {"fill": fill, "stroke": stroke, "stroke_width": width, "stroke_dasharray": dash}
        self._put("circle", cx=x, cy=y, r=round(radius, 1), **look)

    def shape(
        self, outline: Outline, view: View, fill: str = CARD, stroke: str = INK, width: float = 2.0
    ) -> None:
        """A line of a part, true to the view's scale."""
        if isinstance(outline, Circle):
            middle = view.at(outline.x_mm, outline.y_mm)
            self.circle(middle, outline.diameter_mm / 2.0 * view.scale, fill, stroke, width)
        else:
            self.area([view.at(x, y) for x, y in outline.corners], fill, stroke, width)

    def arrow(self, points: Sequence[Point], colour: str = INK, width: float = 2.5) -> None:
        """A line with a head at its end."""
        (x0, y0), (x, y) = points[-2:]
        long = ((x - x0) ** 2 + (y - y0) ** 2) ** 0.5 or 1.0
        u, v = (x - x0) / long, (y - y0) / long
        self.line([*points[:-1], (x - 8.0 * u, y - 8.0 * v)], colour, width)
        barbs = [(x - 13.0 * u - 6.0 * v * s, y - 13.0 * v + 6.0 * u * s) for s in (1.0, -1.0)]
        self.area([(x, y), *barbs], colour, colour, 1.0)

    def span(self, start: Point, end: Point, words: str, at: Point, anchor: str = "start") -> None:
        """A measure between two points, with arrows at both ends; from outside if it is short."""
        (x, y), (u, v) = start, end
        long = ((u - x) ** 2 + (v - y) ** 2) ** 0.5
        away = -34.0 / long if long < 40.0 else 0.5
        for (a, b), (c, d) in ((start, end), (end, start)):
            self.arrow([(a + away * (c - a), b + away * (d - b)), (a, b)], BLUE, 1.5)
        self.text(at, words, anchor, size=SMALL, colour=BLUE)

    def label(self, at: Point, lines: Sequence[str], to: Point, anchor: str = "start") -> None:
        """Words with a thin line to what they name."""
        x, y = at
        low = y + 24.0 * (len(lines) - 1)
        long = max(len(line) for line in lines) * SMALL * 0.56
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * long
        # From beside the words, or from above or below them if they stand in the middle.
        start = (left + long + 8.0 if to[0] > left + long / 2 else left - 6.0, (y + low) / 2 - 6.0)
        if anchor == "middle":
            start = (x, low + 7.0) if to[1] > y else (x, y - 19.0)
        self.line([start, to], GREY, 1.5)
        self.circle(to, 3.0, GREY, GREY)
        self.words(at, lines, anchor)

    def badge(self, at: Point, letter: str, colour: str) -> None:
        """The end of a wire: the same letter stands where its other end goes."""
        self.circle(at, 14.0, colour, colour)
        x, y = at
        made = self._put("text", x=round(x, 1), y=round(y + 6.5, 1), text_anchor="middle")
        made.attrib.update({"fill": PAPER, "font-weight": "bold", "font-size": "18"})
        made.text = letter

    def heading(self, number: int | None, words: str) -> None:
        """A step's number and what is done in it."""
        if number is not None:
            self.circle((34.0, 34.0), 20.0, INK)
            made = self._put("text", x=34.0, y=41.5, text_anchor="middle", fill=PAPER)
            made.attrib.update({"font-size": "22", "font-weight": "bold"})
            made.text = str(number)
        self.text((66.0 if number is not None else 20.0, 41.0), words, size=22.0, bold=True)
