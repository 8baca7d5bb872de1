"""Reads a drawn disc back from its SVG text, knowing nothing of how it was made."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import atan2, degrees, hypot
from xml.etree import ElementTree as ET

NS = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


@dataclass(frozen=True)
class Slot:
    """Corners in path order: inner left, outer left, outer right, inner right."""

    corners: tuple[Point, Point, Point, Point]

    @property
    def angle_deg(self) -> float:
        """Middle of the slot, clockwise from the top."""
        x = sum(p[0] for p in self.corners)
        y = sum(p[1] for p in self.corners)
        return round(degrees(atan2(x, -y)), 3) % 360.0

    def opening_deg(self, *, outer: bool) -> float:
        a, b = (self.corners[1], self.corners[2]) if outer else (self.corners[0], self.corners[3])
        turn = degrees(atan2(b[0], -b[1]) - atan2(a[0], -a[1]))
        return turn % 360.0

    @property
    def radii(self) -> tuple[float, float]:
        return hypot(*self.corners[0]), hypot(*self.corners[1])


def parse(svg: str) -> ET.Element:
    return ET.fromstring(svg.encode())


def numbers(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", text)]


def by_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [e for e in root.iter() if e.get("class") == name]


def slot(path: str) -> Slot:
    """A slot from `M p L p A r r 0 0 1 p L p A r r 0 0 0 p Z`."""
    n = numbers(path)
    assert len(n) == 20
    return Slot(((n[0], n[1]), (n[2], n[3]), (n[9], n[10]), (n[11], n[12])))


def texts(root: ET.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{NS}text")]
