"""Reads a drawing back from its SVG text, knowing nothing of how it was made."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import shapely

NS = "{http://www.w3.org/2000/svg}"


def parse(svg: str) -> ET.Element:
    return ET.fromstring(svg.encode())


def numbers(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", text)]


def by_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [e for e in root.iter() if e.get("class") == name]


def texts(root: ET.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{NS}text")]


def area(element: ET.Element) -> shapely.Polygon:
    """What a closed line encloses."""
    if element.tag == f"{NS}circle":
        middle = shapely.Point(float(element.attrib["cx"]), float(element.attrib["cy"]))
        return middle.buffer(float(element.attrib["r"]), quad_segs=64)
    assert element.attrib["d"].endswith("Z")
    assert set(re.findall(r"[A-Za-z]", element.attrib["d"])) == {"M", "L", "Z"}
    flat = numbers(element.attrib["d"])
    return shapely.Polygon(list(zip(flat[::2], flat[1::2], strict=True)))


def finished(group: ET.Element, kerf_mm: float = 0.0) -> shapely.Geometry:
    """The material of one panel that a beam of the kerf leaves when it follows its lines."""
    (outer,) = by_class(group, "outer")
    lines = [area(e).exterior for e in (*by_class(group, "hole"), outer)]
    holes = [area(e) for e in by_class(group, "hole")]
    sheet = area(outer).difference(shapely.unary_union(holes))
    burnt = shapely.unary_union([line.buffer(kerf_mm / 2.0) for line in lines])
    return sheet.difference(burnt) if kerf_mm else sheet


def panels(root: ET.Element) -> dict[str, ET.Element]:
    """The groups to cut, by the panel's name; of equal ones the last."""
    return {e.attrib["data-name"]: e for e in by_class(root, "panel")}
