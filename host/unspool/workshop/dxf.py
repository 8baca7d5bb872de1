"""A sheet as a DXF in millimetres: circles and closed polylines, y upwards as DXF has it.

A DXF fills nothing: the cutter's program fills the closed lines of the layer ENGRAVE.
"""

from __future__ import annotations

from collections.abc import Iterable
from io import StringIO

from ezdxf import colors, units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from unspool.workshop.choices import Colours
from unspool.workshop.kerf import allow_for_kerf
from unspool.workshop.outline import Circle, Outline, Point
from unspool.workshop.panel import TEXT_MM
from unspool.workshop.sheet import LINE_MM, MARGIN_MM, Sheet
from unspool.workshop.svg import BAR_MM

CUT, ENGRAVE, NOTES = "CUT", "ENGRAVE", "NOTES"


def dxf_text(sheet: Sheet, kerf_mm: float = 0.0, colours: Colours | None = None) -> str:
    """The drawing with its outlines moved by half a kerf, in the layers CUT, ENGRAVE and NOTES.

    Raises InputError if an opening is finer than the kerf.
    """
    colours = colours or Colours()
    document = new("R2010", units=units.MM)
    for name, colour in ((CUT, colours.cut), (ENGRAVE, colours.engrave), (NOTES, colours.notes)):
        layer = document.layers.add(name)
        layer.rgb = colors.RGB.from_hex(colour)
    space = document.modelspace()
    for panel in sheet.panels:
        drawn = allow_for_kerf(panel, kerf_mm)
        for line in drawn.engraved:
            _polyline(space, line, sheet.height_mm, ENGRAVE, close=False)
        for area in drawn.ink:
            _polyline(space, area.corners, sheet.height_mm, ENGRAVE, close=True)
        for outline in (*drawn.holes, drawn.outer):
            _outline(space, outline, sheet.height_mm)
        for mark in drawn.marks:
            _polyline(space, mark.points, sheet.height_mm, NOTES, close=False)
            _label(space, mark.text, mark.at, sheet.height_mm, TextEntityAlignment.MIDDLE_CENTER)
    _notes(space, sheet)
    out = StringIO()
    document.write(out)
    return out.getvalue()


def _outline(space: Modelspace, outline: Outline, height_mm: float) -> None:
    if isinstance(outline, Circle):
        centre = (outline.x_mm, height_mm - outline.y_mm)
        space.add_circle(centre, outline.diameter_mm / 2.0, dxfattribs={"layer": CUT})
    else:
        _polyline(space, outline.corners, height_mm, CUT, close=True)


def _polyline(
    space: Modelspace, points: Iterable[Point], height_mm: float, layer: str, *, close: bool
) -> None:
    up = [(x, height_mm - y) for x, y in points]
    if up:
        space.add_lwpolyline(up, close=close, dxfattribs={"layer": layer})


def _label(
    space: Modelspace,
    text: str,
    at: Point,
    height_mm: float,
    align: TextEntityAlignment = TextEntityAlignment.LEFT,
) -> None:
    if text:
        label = space.add_text(text, height=TEXT_MM, dxfattribs={"layer": NOTES})
        label.set_placement((at[0], height_mm - at[1]), align=align)


def _notes(space: Modelspace, sheet: Sheet) -> None:
    for index, line in enumerate(sheet.notes):
        at = (MARGIN_MM, sheet.notes_top_mm + LINE_MM * index)
        _label(space, line, at, sheet.height_mm)
    y = sheet.notes_top_mm + LINE_MM * (len(sheet.notes) + 0.5)
    bar = [(MARGIN_MM, y), (MARGIN_MM + BAR_MM, y)]
    _polyline(space, bar, sheet.height_mm, NOTES, close=False)
