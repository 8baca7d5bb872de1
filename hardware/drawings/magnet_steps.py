"""Build 3: magnets and one Hall switch."""

from __future__ import annotations

from drawings.fork_steps import hub_page
from drawings.ink import CARD, DARK, INK, LAMP, MODULE, ORANGE, SMALL, STEEL, Page, View
from drawings.reflective_steps import bracket_page, distance_page
from drawings.scene import MAGNETS, draw_wheel_disc, measures
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import Circle
from unspool.workshop.parts.encoder import magnet_radius_mm

WANTED = measures(SensorKind.HALL)


def pole() -> str:
    page = Page("Finding the face of the magnet that the switch sees", 400)
    page.heading(1, "Find the magnet's face")
    for x, lit in ((40.0, True), (330.0, False)):
        page.box((x, 200), (210, 70), MODULE, corner=4)
        page.box((x + 20, 170), (34, 30), DARK)
        page.circle((x + 170, 235), 11.0, LAMP if lit else CARD)
        page.text((x + 144, 241), "lamp", "end", size=SMALL)
        page.box((x + 12, 124), (50, 28), ORANGE if lit else STEEL)
        page.box((x + 12, 110), (50, 14), STEEL if lit else ORANGE)
        page.arrow([(x + 37, 78), (x + 37, 106)])
        words = "lamp changes" if lit else "nothing happens"
        page.text((x + 80, 132), words, size=SMALL, bold=lit)
    lines = (
        "Hold each face to the flat, printed side of the switch.",
        "The face at which the lamp changes is the right one.",
        "Put a dot of paint on it: it must look at the switch.",
    )
    page.middle((300, 320), lines)
    return page.svg()


def magnets() -> str:
    page = Page("The magnets in their disc", 560)
    page.heading(2, "Glue the magnets in, dots outwards")
    view = View(290, 290, 5.0)
    draw_wheel_disc(page, WANTED, view)
    radius = magnet_radius_mm(WANTED)
    for quarter in range(MAGNETS):
        u, v = ((0, -1), (1, 0), (0, 1), (-1, 0))[quarter]
        page.shape(Circle(WANTED.magnet_mm, u * radius, v * radius), view, STEEL)
        page.shape(Circle(1.4, u * radius, v * radius), view, INK)
    page.label((590, 110), ("magnet, the", "dot outwards"), view.at(1.2, -radius), "end")
    page.label((590, 450), ("holes for", "the hub's screws"), view.at(5.4, 3.1), "end")
    page.middle((300, 536), ("Equal distances. No part stands out over the rim.",))
    return page.svg()


def hub() -> str:
    return hub_page(WANTED.thickness_mm, "disc", WANTED.disc_mm, 3)


def into_bracket() -> str:
    return bracket_page(WANTED, 4, "Put the switch into the bracket")


def distance() -> str:
    note = "All magnets pass at the same distance, 2 to 3 mm."
    return distance_page(WANTED, 5, "Set the distance", "magnet", note)


STEPS = {
    "magnet-1-face": pole,
    "magnet-2-disc": magnets,
    "magnet-3-hub": hub,
    "magnet-4-bracket": into_bracket,
    "magnet-5-distance": distance,
}
