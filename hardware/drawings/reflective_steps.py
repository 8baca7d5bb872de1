"""Build 2: a printed pattern on the wheel and two reflective sensors."""

from __future__ import annotations

from math import pi

from drawings.ink import (
    CARD,
    DARK,
    GREY,
    INK,
    LAMP,
    MODULE,
    ORANGE,
    PAPER,
    SMALL,
    STEEL,
    WOOD,
    Page,
    Point,
    View,
)
from drawings.scene import (
    angle_words,
    at_sensor,
    car,
    draw_bracket_with_modules,
    draw_wheel_disc,
    forward_arrow,
    measures,
    side_shaft,
    slab,
)
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import Circle, polar
from unspool.workshop.parts.bracket import sensor_radius_mm
from unspool.workshop.parts.measures import Measures

WANTED = measures(SensorKind.REFLECTIVE)


def pattern_on_wheel() -> str:
    page = Page("The pattern glued on the wheel", 520)
    page.heading(1, "Glue the pattern on the wheel")
    view = View(290, 280, 2.9)
    wheel_mm = 2e3 * car().encoder_wheel.radius_m
    page.shape(Circle(wheel_mm), view, WOOD)
    draw_wheel_disc(page, WANTED, view)
    page.circle(view.at(0, 0), 2.0 * view.scale, STEEL)
    page.label((20, 120), ("wheel",), view.at(-45, -36))
    page.label((586, 120), ("pattern on", "matt paper"), view.at(24, -16), "end")
    page.label((586, 430), ("black fields",), view.at(18, 18), "end")
    page.middle((300, 490), ("Its middle sits on the shaft: it must not run out of round.",))
    return page.svg()


def into_bracket() -> str:
    return bracket_page(WANTED, 2, "Put both sensors into the bracket")


def bracket_page(wanted: Measures, number: int, title: str) -> str:
    """The bracket from the wheel's side, with its sensors looking at the reader."""
    page = Page("The sensors in the bracket, from the side of the wheel", 610)
    page.heading(number, title)
    view = View(260, 370, 4.4)
    draw_bracket_with_modules(page, wanted, view)
    page.circle(view.at(0, 0), wanted.disc_mm / 2 * view.scale, "none", GREY, 2.0, "8 6")
    hall = wanted.sensor is SensorKind.HALL
    page.label((20, 250), ("the switch",) if hall else ("A",), at_sensor(view, wanted, 0))
    if not hall:
        words = ("B:", angle_words(wanted), "from A")
        page.label((590, 130), words, at_sensor(view, wanted, 1), "end")
    page.label(
        (20, 210), ("screw M3",), at_sensor(view, wanted, 0, wanted.module.hole_from_beam_mm)
    )
    forward_arrow(page, view, 34, (86, 480))
    seen = "Seen from where the wheel turns clockwise forward."
    page.middle((300, 590), (seen,))
    return page.svg()


def distance() -> str:
    return distance_page(WANTED, 3, "Set the distance", "paper", "Sensor faces the paper squarely.")


def distance_page(wanted: Measures, number: int, title: str, at_what: str, note: str) -> str:
    """Sensor and wheel from the side, enlarged."""
    page = Page(f"{title}: the sensor and the wheel, from the side", 580)
    page.heading(number, title)
    view = View(220, 380, 6.4)
    gap, radius = wanted.module.gap_mm, sensor_radius_mm(wanted)
    side_shaft(page, view, -26, 44, wanted.shaft_mm)
    hall = wanted.sensor is SensorKind.HALL
    if hall:
        t = wanted.thickness_mm
        slab(page, view, 0, t, -wanted.disc_mm / 2, wanted.disc_mm / 2 + 24, WOOD)
        slab(page, view, 0, t, -radius - wanted.magnet_mm / 2, wanted.magnet_mm, ORANGE)
    else:
        slab(page, view, 0, 6, -40, 64, WOOD)
        slab(page, view, -0.6, 0.6, -30, 24, PAPER)
    face = -gap - (0.0 if hall else 0.6)
    _sensor_in_plate(page, view, face, radius, wanted)
    y = -radius + wanted.module.body_mm[1] / 2 + 2.0
    page.span(view.at(face, y), view.at(face + gap, y), "", view.at(0, 0))
    words = (f"{gap:g} mm from", f"sensor to {at_what}")
    page.label((400, 285), words, view.at(face + gap / 2, y))
    page.label((400, 130), (at_what,), view.at(1.5 if hall else -0.2, -radius + 0.5))
    page.label((400, 200), ("disc" if hall else "wheel",), view.at(2.0 if hall else 4.5, -19))
    page.label((20, 150), ("sensor",), view.at(face - 2, -radius))
    page.label((20, 350), ("bracket",), view.at(face - 3, -12))
    page.middle((300, 566), (note,))
    return page.svg()


def _sensor_in_plate(
    page: Page, view: View, face_mm: float, radius: float, wanted: Measures
) -> None:
    """The module behind the plate, which is cut through its window and the hole for the shaft."""
    high, low = wanted.module.body_mm[1], 24.0
    slab(page, view, face_mm - 5, 5, -radius - high / 2, high, DARK)
    slab(page, view, face_mm - 6.6, 1.6, -radius - 22, 28, MODULE)
    plate, thick = face_mm - 4.6, wanted.thickness_mm
    slab(page, view, plate, thick, -radius - 21, 21 - high / 2 - 1, CARD)
    window = -radius + high / 2 + 1.0
    slab(page, view, plate, thick, window, -8 - window, CARD)
    slab(page, view, plate, thick, 8, low - 8, CARD)


def trimmer() -> str:
    page = Page("Turning the trim screw until the lamp follows the pattern", 470)
    page.heading(4, "Turn the trim screw")
    for x, over, on in ((40.0, "black", False), (330.0, "white", True)):
        _module(page, (x, 120), over, lit=on)
    lines = (
        "Turn it until the lamp is off over black and on over",
        "white. Then go to the middle of where that is so.",
        "On some modules the lamp works the other way round.",
    )
    page.middle((300, 396), lines)
    return page.svg()


def _module(page: Page, at: Point, over: str, *, lit: bool) -> None:
    x, y = at
    fill = INK if over == "black" else PAPER
    page.box((x - 10, y + 170), (250, 44), fill)
    page.text((x + 115, y + 240), f"over {over}", "middle", size=SMALL)
    page.box((x, y + 40), (230, 60), MODULE, corner=4)
    page.box((x + 14, y + 100), (60, 44), DARK)
    page.box((x + 96, y + 6), (44, 34), "#3f6fb5", corner=2)
    page.circle((x + 118, y + 23), 10.0, STEEL)
    page.line([(x + 111, y + 16), (x + 125, y + 30)], INK, 3.0)
    lamp = (x + 186, y + 28)
    page.circle(lamp, 10.0, LAMP if lit else CARD)
    for turn in range(8) if lit else ():
        u, v = polar(1.0, turn * pi / 4.0)
        ray = [(lamp[0] + far * u, lamp[1] + far * v) for far in (14.0, 22.0)]
        page.line(ray, ORANGE, 2.5)
    page.text((x + 118, y - 10), "trim screw", "middle", size=SMALL)
    page.text((x + 218, y + 8), "on" if lit else "off", size=SMALL, bold=True)


STEPS = {
    "reflective-1-pattern": pattern_on_wheel,
    "reflective-2-bracket": into_bracket,
    "reflective-3-distance": distance,
    "reflective-4-trimmer": trimmer,
}
