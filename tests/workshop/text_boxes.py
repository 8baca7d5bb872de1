"""Where the words of a drawing lie, estimated from their letters."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree as ET

import shapely

from workshop.svg import NS

WIDE = 0.56  # of the letter's height, on average, in a wide sans-serif face
BOLD = 1.1
HIGH, LOW = 0.72, 0.2  # above and below the line on which letters stand


def text_box(element: ET.Element, size: float, anchor: str = "start") -> shapely.Polygon:
    """The box of one text. size, anchor: what it inherits unless it says otherwise."""
    size = float(element.get("font-size", size))
    wide = len(element.text or "") * size * WIDE
    wide *= BOLD if element.get("font-weight") == "bold" else 1.0
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[element.get("text-anchor", anchor)]
    left, line = float(element.attrib["x"]) - share * wide, float(element.attrib["y"])
    return shapely.box(left, line - HIGH * size, left + wide, line + LOW * size)


def boxes(root: ET.Element) -> list[tuple[str, shapely.Polygon]]:
    """Each text of a drawing with its box; a drawing says its letters' size at the top."""
    size = float(root.get("font-size", 3.0))
    return [(e.text or "", text_box(e, size)) for e in root.iter(f"{NS}text")]


def page(root: ET.Element) -> shapely.Polygon:
    left, top, width, height = (float(n) for n in root.attrib["viewBox"].split())
    return shapely.box(left, top, left + width, top + height)


def unreadable(root: ET.Element) -> list[str]:
    """The texts that leave the page, and the pairs that lie on each other."""
    found, whole = boxes(root), page(root)
    outside = [text for text, box in found if not whole.covers(box)]
    return outside + [
        f"{a} / {b}" for (a, one), (b, other) in combinations(found, 2) if one.intersects(other)
    ]
