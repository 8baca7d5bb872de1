"""A plain chart as SVG: axes, lines, bars and words, in the colours of unspool's other pictures.

Drawn 420 wide with letters of 15, so that a phone shows them at 12 pixels and more. No meaning
hangs on a colour alone: lines differ by dash too, and each has its word beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.etree import ElementTree as ET

from unspool.render.figures import palette

WIDTH, HEIGHT = 420.0, 290.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 22.0, 34.0, 48.0
TEXT = 15


@dataclass
class Chart:
    """x and y run from the first to the last of their ticks; title and words are plain text.

    x_words stand between the ticks in place of numbers; without y_title the y axis has no numbers.
    """

    title: str
    told: str  # what the picture shows, for those who hear it
    x_ticks: Sequence[float]
    y_ticks: Sequence[float]
    x_title: str = ""
    y_title: str = ""
    x_words: Sequence[str] = ()
    root: ET.Element = field(init=False)

    def __post_init__(self) -> None:
        box = {"viewBox": f"0 0 {WIDTH:g} {HEIGHT:g}", "width": f"{WIDTH:g}", "role": "img"}
        self.root = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **box})
        self.root.set("font-family", palette.FONT)
        self.root.set("font-size", str(TEXT))
        ET.SubElement(self.root, "title").text = self.title
        ET.SubElement(self.root, "desc").text = self.told
        self._add("rect", {"width": "100%", "height": "100%", "fill": palette.PAPER})
        self._axes()

    def x(self, value: float) -> float:
        low, high = self.x_ticks[0], self.x_ticks[-1]
        return LEFT + (value - low) / (high - low) * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        low, high = self.y_ticks[0], self.y_ticks[-1]
        return HEIGHT - BOTTOM - (value - low) / (high - low) * (HEIGHT - TOP - BOTTOM)

    def line(self, xs: Sequence[float], ys: Sequence[float], colour: str, dash: str = "") -> None:
        points = " ".join(f"{self.x(a):.1f},{self.y(b):.1f}" for a, b in zip(xs, ys, strict=True))
        look = {"fill": "none", "stroke": colour, "stroke-width": "2.5", "stroke-linejoin": "round"}
        dashed = {"stroke-dasharray": dash} if dash not in ("", "solid") else {}
        self._add("polyline", {"points": points, **look, **dashed})

    def bar(self, x0: float, x1: float, y0: float, y1: float, colour: str) -> None:
        """A bar from x0 to x1 and y0 to y1, in the chart's values."""
        left, top = self.x(x0), self.y(y1)
        size = {"width": f"{self.x(x1) - left:.1f}", "height": f"{self.y(y0) - top:.1f}"}
        self._add("rect", {"x": f"{left:.1f}", "y": f"{top:.1f}", **size, "fill": colour})

    def dot(self, x: float, y: float, colour: str) -> None:
        place = {"cx": f"{self.x(x):.1f}", "cy": f"{self.y(y):.1f}", "r": "5"}
        edge = {"stroke": palette.PAPER, "stroke-width": "1.5"}
        self._add("circle", {**place, **edge, "fill": colour})

    def word(
        self, x: float, y: float, text: str, anchor: str = "start", colour: str = palette.INK
    ) -> None:
        """Text with its base line at (x, y) in the chart's values."""
        self._text(self.x(x), self.y(y), text, anchor, colour)

    def svg(self) -> str:
        ET.indent(self.root)
        return ET.tostring(self.root, encoding="unicode") + "\n"

    def _axes(self) -> None:
        foot, top = HEIGHT - BOTTOM, TOP
        for tick in self.y_ticks if self.y_title else ():
            self._rule(LEFT, self.y(tick), WIDTH - RIGHT, self.y(tick), palette.RULE)
            self._text(LEFT - 7, self.y(tick) + 5, f"{tick:g}", "end")
        for tick, word in zip(self.x_ticks, self.x_words, strict=False):
            self._text(self.x(tick + 0.5), foot + 20, word, "middle")
        for tick in () if self.x_words else self.x_ticks:
            self._rule(self.x(tick), foot, self.x(tick), foot + 5, palette.INK)
            self._text(self.x(tick), foot + 20, f"{tick:g}", "middle")
        self._rule(LEFT, foot, WIDTH - RIGHT, foot, palette.INK)
        self._rule(LEFT, foot, LEFT, top, palette.INK)
        self._text(WIDTH - RIGHT, HEIGHT - 9, self.x_title, "end")
        self._text(8, 20, self.y_title)

    def _rule(self, x0: float, y0: float, x1: float, y1: float, colour: str) -> None:
        ends = {"x1": f"{x0:.1f}", "y1": f"{y0:.1f}", "x2": f"{x1:.1f}", "y2": f"{y1:.1f}"}
        self._add("line", {**ends, "stroke": colour})

    def _text(
        self, x: float, y: float, text: str, anchor: str = "start", colour: str = palette.INK
    ) -> None:
        look = {"text-anchor": anchor, "fill": colour}
        self._add("text", {"x": f"{x:.1f}", "y": f"{y:.1f}", **look}).text = text

    def _add(self, tag: str, attributes: dict[str, str]) -> ET.Element:
        return ET.SubElement(self.root, tag, attributes)
