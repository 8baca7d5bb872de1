"""A car and measures to draw parts for. All figures are invented."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from unspool.car import load_car
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.workshop.choices import Form, PartName
from unspool.workshop.modules import SensorKind
from unspool.workshop.parts.make import make_part
from unspool.workshop.parts.measures import Measures
from unspool.workshop.sheet import lay_out
from unspool.workshop.svg import svg_text
from workshop.svg import parse

CAR = load_car(SANDPIPER)
KERF_MM = 0.2


def measures(sensor: SensorKind = SensorKind.FORK, **others: float) -> Measures:
    slots = 4 if sensor is SensorKind.HALL else 10
    given = {"disc_mm": 60.0, "shaft_mm": 4.0, **others}
    return Measures(slots=slots, sensor=sensor, **given)  # type: ignore[arg-type]  # floats all


def drawn(
    name: PartName,
    wanted: Measures | None = None,
    kerf_mm: float = 0.0,
    form: Form = Form.CUT,
) -> ET.Element:
    """The drawing of a part, as a reader of its file sees it."""
    part = make_part(name, wanted or measures(), CAR)
    (sheet,) = lay_out(part.panels, part.notes)
    return parse(svg_text(sheet, form, kerf_mm))
