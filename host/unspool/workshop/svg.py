"""A sheet as an SVG in true millimetres, in one of two forms.

`cut` is for a cutter: hairlines only, every outline moved by half a kerf so that the finished part
has the asked measures. Areas of ink are engraved.
`print` is for a printer: the opaque parts in solid black, no allowance.
What is cut, what is engraved and what is only to be read are groups of their own. A bar is to be
measured before use, because printers and importing programs may change the scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree as ET

from unspool.workshop.choices import Colours, Form
from unspool.workshop.kerf import allow_for_kerf
from unspool.workshop.outline import Circle, Outline, Point
from unspool.workshop.panel import TEXT_MM, Mark, Panel
from unspool.workshop.sheet import LINE_MM, MARGIN_MM, Sheet

BAR_MM = 50  # long enough to show a scale that is off by 1 %


def svg_text(
    sheet: Sheet, form: Form = Form.CUT, kerf_mm: float = 0.0, colours: Colours | None = None
) -> str:
    """The drawing; width, height and viewBox are in millimetres.

    Raises InputError if an opening is finer than the kerf.
    """
    colours = colours or Colours()
    size = {"width": f"{sheet.width_mm:g}mm", "height": f"{sheet.height_mm:g}mm"}
    box = f"0 0 {sheet.width_mm:g} {sheet.height_mm:g}"
    head = {"xmlns": "http://www.w3.org/2000/svg", **size, "viewBox": box, "data-unspool": "1"}
    root = ET.Element("svg", head)
    if form is Form.PRINT:
        _printed(ET.SubElement(root, "g", {"id": "print"}), sheet.panels)
    else:
        _engraved(root, sheet.panels, colours)
        _cut(root, [allow_for_kerf(panel, kerf_mm) for panel in sheet.panels], colours)
    _notes(ET.SubElement(root, "g", {"id": "notes"}), sheet, colours.notes)
    ET.indent(root)
    return ET.tostring(root, encoding="unicode", xml_declaration=True) + "\n"


def _cut(root: ET.Element, panels: Iterable[Panel], colours: Colours) -> None:
    layer = ET.SubElement(root, "g", {"id": "cut", **_hairline(colours.cut)})
    for panel in panels:
        group = ET.SubElement(layer, "g", {"class": "panel", "data-name": panel.name})
        for hole in panel.holes:
            _outline(group, hole, "hole")
        # The outer line last: a cutter that keeps the order then never works on a loose part.
        _outline(group, panel.outer, "outer")


def _engraved(root: ET.Element, panels: Iterable[Panel], colours: Colours) -> None:
    layer = ET.SubElement(root, "g", {"id": "engrave", **_hairline(colours.engrave)})
    for panel in panels:
        for line in panel.engraved:
            ET.SubElement(layer, "path", {"d": _open(line)})
        for area in panel.ink:
            ET.SubElement(
                layer, "path", {"class": "ink", "d": _closed(area), "fill": colours.engrave}
            )


def _printed(layer: ET.Element, panels: Iterable[Panel]) -> None:
    solid = {"fill": "#000000", "fill-rule": "evenodd", "stroke": "none"}
    for panel in panels:
        areas: tuple[Outline, ...] = panel.ink or (panel.outer, *panel.holes)
        path = " ".join(_closed(area) for area in areas)
        ET.SubElement(layer, "path", {"class": "ink", "data-name": panel.name, "d": path, **solid})
        if panel.ink:
            for line in (panel.outer, *panel.holes):
                _outline(layer, line, "trim")


def _outline(group: ET.Element, outline: Outline, kind: str) -> None:
    thin = _hairline("#000000") if kind == "trim" else {}
    if isinstance(outline, Circle):
        place = {"cx": f"{outline.x_mm:.4f}", "cy": f"{outline.y_mm:.4f}"}
        round_ = {"r": f"{outline.diameter_mm / 2.0:.4f}", **thin}
        ET.SubElement(group, "circle", {"class": kind, **place, **round_})
    else:
        ET.SubElement(group, "path", {"class": kind, "d": _closed(outline), **thin})


def _closed(outline: Outline) -> str:
    if isinstance(outline, Circle):
        r, left = outline.diameter_mm / 2.0, outline.x_mm - outline.diameter_mm / 2.0
        half = f"a {r:.4f} {r:.4f} 0 1 1"
        d = outline.diameter_mm
        return f"M {left:.4f} {outline.y_mm:.4f} {half} {d:.4f} 0 {half} {-d:.4f} 0 Z"
    return _open(outline.corners) + " Z"


def _open(points: Iterable[Point]) -> str:
    return "M " + " L ".join(f"{x:.4f} {y:.4f}" for x, y in points)


def _hairline(colour: str) -> dict[str, str]:
    return {"fill": "none", "stroke": colour, "stroke-width": "0.1"}


def _notes(group: ET.Element, sheet: Sheet, colour: str) -> None:
    for panel in sheet.panels:
        for mark in panel.marks:
            _mark(group, mark, colour)
    for index, line in enumerate(sheet.notes):
        _label(group, MARGIN_MM, sheet.notes_top_mm + LINE_MM * index, line, colour)
    _bar(group, sheet.notes_top_mm + LINE_MM * (len(sheet.notes) + 0.5), colour)


def _mark(group: ET.Element, mark: Mark, colour: str) -> None:
    if mark.points:
        line = {"fill": "none", "stroke": colour, "stroke-width": "0.2"}
        ET.SubElement(group, "path", {"class": "mark", "d": _open(mark.points), **line})
    if mark.text:
        x, y = mark.at
        _label(group, x, y + TEXT_MM / 3.0, mark.text, colour, middle=True)


def _label(
    group: ET.Element, x: float, y: float, text: str, colour: str, *, middle: bool = False
) -> None:
    style = {"font-family": "sans-serif", "font-size": f"{TEXT_MM:g}", "fill": colour}
    if middle:
        style["text-anchor"] = "middle"
    ET.SubElement(group, "text", {"x": f"{x:.4f}", "y": f"{y:.4f}", **style}).text = text


def _bar(group: ET.Element, y: float, colour: str) -> None:
    ticks = [
        f"M {MARGIN_MM + mm:g} {y:g} v {2.5 if mm % 10 == 0 else 1.2:g}" for mm in range(BAR_MM + 1)
    ]
    line = f"M {MARGIN_MM:g} {y:g} h {BAR_MM:g} " + " ".join(ticks)
    style = {"fill": "none", "stroke": colour, "stroke-width": "0.2"}
    ET.SubElement(group, "path", {"id": "scale-bar", "d": line, **style})
