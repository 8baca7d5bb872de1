"""What the steps' drawings share: the example's parts, seen from the front and from the side."""

from __future__ import annotations

from functools import cache
from math import degrees

from drawings.ink import CARD, DARK, INK, MODULE, PAPER, STEEL, WOOD, Page, Point, View
from unspool.car import Car, load_car
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import Circle, arc, polar, rectangle, turned
from unspool.workshop.parts.bracket import bracket, sensor_angles_rad, sensor_radius_mm
from unspool.workshop.parts.encoder import disc, pattern
from unspool.workshop.parts.make import from_car
from unspool.workshop.parts.measures import Measures

MAGNETS = 4  # in the drawings; the command takes one to eight


@cache
def car() -> Car:
    return load_car(SANDPIPER)


@cache
def measures(sensor: SensorKind) -> Measures:
    """Of the example's car, for one of the three builds."""
    slots, disc_mm = from_car(car())
    hall = sensor is SensorKind.HALL
    return Measures(MAGNETS if hall else slots, disc_mm, 4.0, sensor=sensor)


def angle_words(wanted: Measures) -> str:
    """Where B sits, for a person with a protractor."""
    turn = degrees(sensor_angles_rad(wanted)[1])
    way = "clockwise" if turn > 0 else "counter-clockwise"
    return f"{abs(turn):.4g}° {way}"


def draw_wheel_disc(page: Page, wanted: Measures, view: View) -> None:
    """The disc or the pattern from the front, its openings as they are seen."""
    reflective = wanted.sensor is SensorKind.REFLECTIVE
    panel = (pattern if reflective else disc)(wanted).panels[0]
    page.shape(panel.outer, view, PAPER if reflective else WOOD)
    for hole in panel.holes:
        page.shape(hole, view, PAPER, width=1.5)
    for area in panel.ink:
        page.shape(area, view, INK, INK, 0.5)


def draw_bracket(page: Page, wanted: Measures, view: View) -> None:
    panel = bracket(wanted).panels[0]
    page.shape(panel.outer, view, CARD)
    for hole in panel.holes:
        page.shape(hole, view, PAPER, width=1.5)


def at_sensor(view: View, wanted: Measures, number: int, further_mm: float = 0.0) -> Point:
    """The place of sensor A (0) or B (1) on the page, or of a point further out."""
    x, y = polar(sensor_radius_mm(wanted) + further_mm, sensor_angles_rad(wanted)[number])
    return view.at(x, y)


def draw_bracket_with_modules(page: Page, wanted: Measures, view: View) -> None:
    """Reflective sensors or a Hall switch behind the plate: each looks out of its window."""
    module, out_mm = wanted.module, sensor_radius_mm(wanted)
    length = module.hole_from_beam_mm + 18.0
    board = rectangle(module.width_mm, length, 0.0, -out_mm - length / 2.0 + 7.0)
    screw = Circle(5.5, 0.0, -(out_mm + module.hole_from_beam_mm))
    eye = rectangle(*module.body_mm, 0.0, -out_mm)
    angles = sensor_angles_rad(wanted)
    for angle in angles:
        page.shape(turned(board, angle), view, MODULE)
    draw_bracket(page, wanted, view)
    for angle in angles:
        page.shape(turned(eye, angle), view, DARK)
        page.shape(turned(screw, angle), view, STEEL)


def forward_arrow(page: Page, view: View, radius_mm: float, words_at: Point) -> None:
    """The wheel turns clockwise when the car drives forward."""
    page.arrow([view.at(x, y) for x, y in arc(radius_mm, 3.6, 2.7)[::-1]], INK, 3.0)
    page.words(words_at, ("turns this way", "when the car", "drives forward"), "middle")


def side_shaft(page: Page, view: View, from_mm: float, to_mm: float, shaft_mm: float) -> None:
    """The shaft from the side, lying along x at y = 0."""
    size = ((to_mm - from_mm) * view.scale, shaft_mm * view.scale)
    page.box(view.at(from_mm, -shaft_mm / 2.0), size, STEEL)


def slab(
    page: Page, view: View, x_mm: float, wide_mm: float, y_mm: float, high_mm: float, fill: str
) -> None:
    """A flat part cut through: from x on, and from y downwards."""
    page.box(view.at(x_mm, y_mm), (wide_mm * view.scale, high_mm * view.scale), fill)
