"""A disc as an SVG in true millimetres, in one of two forms.

`cut` is for a cutter: hairlines only, every outline moved by half a kerf so that the finished part
has the asked measures. `print` is for a printer: the opaque parts in solid black, no allowance.
Everything that must not be cut is in the group `notes`. A bar there is to be measured before use,
because printers and importing programs may change the scale.
"""

from __future__ import annotations

from enum import StrEnum
from math import cos, pi, radians, sin
from xml.etree import ElementTree as ET

from unspool.workshop.disc import Disc
from unspool.workshop.kerf import drawn_hole_mm, drawn_part_mm, side_shift_rad

MARGIN_MM = 12.0
BAR_MM = 50  # long enough to show a scale that is off by 1 %
LINE_MM = 4.5
TEXT_MM = 3.0
# Widest line of the notes at TEXT_MM, with room to spare in any sans-serif face.
NOTES_MM = 150.0
HAIRLINE = {"fill": "none", "stroke": "#000000", "stroke-width": "0.1"}
NOTE_LINE = {"fill": "none", "stroke": "#1f5fbf", "stroke-width": "0.2"}


class Form(StrEnum):
    CUT = "cut"
    PRINT = "print"


def draw(disc: Disc, form: Form = Form.CUT) -> str:
    """The drawing as SVG text; width, height and viewBox are in millimetres."""
    width = max(disc.outer_mm + 2.0 * MARGIN_MM, NOTES_MM)
    notes = _notes(disc, form)
    middle = disc.outer_mm / 2.0 + MARGIN_MM
    top = 2.0 * middle + LINE_MM
    height = top + LINE_MM * (len(notes) + 1) + MARGIN_MM
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width:g}mm",
            "height": f"{height:g}mm",
            "viewBox": f"0 0 {width:g} {height:g}",
            "data-unspool": "1",
        },
    )
    ET.SubElement(root, "title").text = f"Encoder disc, {disc.slots} slots"
    centre = f"translate({width / 2.0:g} {middle:g})"
    _part(ET.SubElement(root, "g", {"id": form.value, "transform": centre}), disc, form)
    page = ET.SubElement(root, "g", {"id": "notes"})
    _sensors(ET.SubElement(page, "g", {"id": "sensors", "transform": centre}), disc)
    _text(page, notes, top)
    _bar(page, top + LINE_MM * (len(notes) + 0.5))
    ET.indent(root)
    return ET.tostring(root, encoding="unicode", xml_declaration=True) + "\n"


def _part(group: ET.Element, disc: Disc, form: Form) -> None:
    kerf = disc.kerf_mm if form is Form.CUT else 0.0
    outer = drawn_part_mm(disc.outer_mm, kerf) / 2.0
    bore = drawn_hole_mm(disc.bore_mm, kerf) / 2.0
    slots = [_slot(disc, index, kerf) for index in range(disc.slots)]
    if form is Form.PRINT:
        outline = " ".join([_circle(outer), _circle(bore), *slots])
        solid = {"d": outline, "fill": "#000000", "fill-rule": "evenodd", "stroke": "none"}
        ET.SubElement(group, "path", {"class": "disc", **solid})
        return
    group.attrib.update(HAIRLINE)
    for path in slots:
        ET.SubElement(group, "path", {"class": "slot", "d": path})
    # The outline last: a cutter that keeps the order then never works on a loose part.
    ET.SubElement(group, "circle", {"class": "bore", "r": f"{bore:.4f}"})
    ET.SubElement(group, "circle", {"class": "outer", "r": f"{outer:.4f}"})


def _slot(disc: Disc, index: int, kerf_mm: float) -> str:
    """One slot's outline; slot 0 is centred on the top, the rest follow clockwise."""
    middle = 2.0 * pi * index / disc.slots
    quarter = pi / (2.0 * disc.slots)
    outer = disc.slot_outer_mm - kerf_mm / 2.0
    inner = disc.slot_inner_mm + kerf_mm / 2.0
    half_outer = quarter - side_shift_rad(kerf_mm, outer)
    half_inner = quarter - side_shift_rad(kerf_mm, inner)
    a, b = _point(inner, middle - half_inner), _point(outer, middle - half_outer)
    c, d = _point(outer, middle + half_outer), _point(inner, middle + half_inner)
    return (
        f"M {a} L {b} A {outer:.4f} {outer:.4f} 0 0 1 {c} "
        f"L {d} A {inner:.4f} {inner:.4f} 0 0 0 {a} Z"
    )


def _circle(radius: float) -> str:
    r = f"{radius:.4f}"
    return f"M 0 -{r} A {r} {r} 0 1 1 0 {r} A {r} {r} 0 1 1 0 -{r} Z"


def _point(radius: float, clockwise_from_top: float) -> str:
    x, y = radius * sin(clockwise_from_top), -radius * cos(clockwise_from_top)
    return f"{x:.4f} {y:.4f}"


def _sensors(group: ET.Element, disc: Disc) -> None:
    """Ticks at the rim where the sensors sit, and an arrow for the wheel's forward turn."""
    rim = disc.outer_mm / 2.0
    for name, angle_deg in (("A", 0.0), ("B", disc.sensor_b.angle_deg)):
        angle = radians(angle_deg)
        tick = f"M {_point(rim + 1.0, angle)} L {_point(rim + 4.0, angle)}"
        ET.SubElement(group, "path", {"class": f"sensor-{name.lower()}", "d": tick, **NOTE_LINE})
        x, y = _point(rim + 6.5, angle).split()
        _label(group, x, f"{float(y) + TEXT_MM / 3.0:.4f}", name, middle=True)
    radius, start, end = rim + 3.0, pi - 0.3, pi + 0.3
    head = f"M {_point(radius - 1.5, end - 0.08)} L {_point(radius, end)}"
    barb = f"L {_point(radius + 1.5, end - 0.08)}"
    arc = f"M {_point(radius, start)} A {radius:.4f} {radius:.4f} 0 0 1 {_point(radius, end)}"
    ET.SubElement(group, "path", {"class": "forward", "d": f"{arc} {head} {barb}", **NOTE_LINE})
    _label(group, "0", f"{rim + 8.5:.4f}", "forward", middle=True)


def _notes(disc: Disc, form: Form) -> list[str]:
    place = disc.sensor_b
    way = "with" if place.quarter_pitches > 0 else "against"
    allowance = (
        f"Kerf {disc.kerf_mm:g} mm allowed for: cut along the lines, not beside them."
        if form is Form.CUT and disc.kerf_mm
        else "No allowance for a kerf: the lines are the finished disc."
    )
    return [
        f"{disc.slots} slots, one each {disc.pitch_deg:.4g} deg; "
        f"{disc.edges_per_turn} edges a turn (pulses_per_turn = {disc.edges_per_turn})",
        f"Outside {disc.outer_mm:g} mm, bore {disc.bore_mm:g} mm, slots from "
        f"{2.0 * disc.slot_inner_mm:g} to {2.0 * disc.slot_outer_mm:g} mm across",
        f"Both sensors on a circle of {2.0 * disc.sensor_radius_mm:g} mm across, where a slot is "
        f"{disc.slot_width_mm(disc.sensor_radius_mm):.2f} mm wide",
        f"Sensor B {abs(place.angle_deg):.4g} deg {way} the arrow from A: "
        f"{abs(place.quarter_pitches)} quarter pitches, {place.apart_mm:.1f} mm apart",
        allowance,
        f"Measure this bar before use: it must be {BAR_MM} mm long.",
    ]


def _text(group: ET.Element, lines: list[str], top: float) -> None:
    for index, line in enumerate(lines):
        _label(group, f"{MARGIN_MM:g}", f"{top + LINE_MM * index:g}", line)


def _label(group: ET.Element, x: str, y: str, text: str, *, middle: bool = False) -> None:
    style = {"font-family": "sans-serif", "font-size": f"{TEXT_MM:g}", "fill": "#1f5fbf"}
    if middle:
        style["text-anchor"] = "middle"
    ET.SubElement(group, "text", {"x": x, "y": y, **style}).text = text


def _bar(group: ET.Element, y: float) -> None:
    ticks = [
        f"M {MARGIN_MM + mm:g} {y:g} v {2.5 if mm % 10 == 0 else 1.2:g}" for mm in range(BAR_MM + 1)
    ]
    line = f"M {MARGIN_MM:g} {y:g} h {BAR_MM:g} " + " ".join(ticks)
    ET.SubElement(group, "path", {"id": "scale-bar", "d": line, **NOTE_LINE})
