"""The steps that all builds share: board, battery, cover and wires in the car."""

from __future__ import annotations

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
    View,
)
from drawings.scene import car, measures
from drawings.wires import COLOURS
from unspool.workshop.modules import BOARDS, SensorKind
from unspool.workshop.outline import Circle, rectangle
from unspool.workshop.parts.housing import cover, tray

WANTED = measures(SensorKind.FORK)


def places() -> str:
    """The whole car from the side. Its front is on the right."""
    page = Page("Where the instrument sits in the car", 640)
    page.heading(1, "Where everything goes")
    view = View(120, 500, 0.86)
    sizes = {wheel.name: 1e3 * wheel.radius_m for wheel in car().wheels}
    rear, front = sizes.values()
    base, drop = 340.0, 330.0  # the real drop would not fit on the page
    deck = -rear - 18.0
    page.line([view.at(-110, rear), view.at(base + 140, rear)], INK, 2.5)
    page.box(view.at(-40, deck), ((base + 90) * view.scale, 16 * view.scale), WOOD)
    _tower(page, view, deck, drop)
    for x, radius in ((0.0, rear), (base, front)):
        page.circle(view.at(x, 0), radius * view.scale, CARD)
    page.circle(view.at(0, 0), WANTED.disc_mm / 2 * view.scale, WOOD)
    page.circle(view.at(0, 0), 8 * view.scale, STEEL)
    page.line([view.at(0, -8), view.at(112, deck - drop), view.at(172, deck - drop)], GREY, 2.5)
    _boxes(page, view, deck)
    page.label((20, 120), ("disc and", "sensors on", "this axle"), view.at(-12, -20))
    page.label((150, 590), ("weight lands here:", "nothing below it"), view.at(172, deck - 4))
    page.label((590, 170), ("board, low",), view.at(262, deck - 12), "end")
    page.label((590, 250), ("battery, low,", "tied down"), view.at(340, deck - 16), "end")
    page.text((588, 600), "forward", "end", size=SMALL)
    page.arrow([(420, 594), (500, 594)])
    return page.svg()


def _tower(page: Page, view: View, deck: float, drop: float) -> None:
    for x in (108.0, 228.0):
        page.box(view.at(x, deck - drop - 12), (8 * view.scale, (drop + 12) * view.scale), WOOD)
    page.box(view.at(108, deck - drop - 20), (128 * view.scale, 8 * view.scale), WOOD)
    page.circle(view.at(112, deck - drop), 10 * view.scale, CARD)
    page.line([view.at(172, deck - drop), view.at(172, deck - drop + 60)], GREY, 2.5)
    page.box(view.at(148, deck - drop + 60), (48 * view.scale, 66 * view.scale), DARK)
    page.text(view.at(172, deck - drop + 150), "weight", "middle", size=SMALL)
    page.arrow([view.at(172, deck - drop + 165), view.at(172, deck - 40)], ORANGE, 4.0)
    page.box(view.at(126, deck - 8), (92 * view.scale, 8 * view.scale), ORANGE)


def _boxes(page: Page, view: View, deck: float) -> None:
    page.box(view.at(240, deck - 22), (60 * view.scale, 22 * view.scale), MODULE)
    page.box(view.at(312, deck - 30), (66 * view.scale, 30 * view.scale), STEEL)


def on_tray() -> str:
    page = Page("The board on its tray", 480)
    page.heading(2, "Tie the board to its tray")
    view = View(280, 250, 5.4)
    panel = tray(WANTED).panels[0]
    page.shape(panel.outer, view, WOOD)
    for hole in panel.holes:
        page.shape(hole, view, PAPER, width=1.5)
    board = BOARDS[WANTED.board]
    page.shape(rectangle(board.length_mm, board.width_mm), view, MODULE)
    page.box(view.at(board.length_mm / 2 - 6, -4), (8 * view.scale, 8 * view.scale), STEEL)
    for side in (-1, 1):
        x = side * board.length_mm / 4
        page.box(
            view.at(x - 1.3, -board.width_mm / 2 - 4.4),
            (2.6 * view.scale, (board.width_mm + 8.8) * view.scale),
            INK,
        )
    for y, colour in ((1.5, COLOURS["+"]), (4.0, COLOURS["-"])):
        page.line([view.at(-19, y), view.at(-48, y)], colour, 4.0)
    page.box(view.at(-29.5, -0.5), (2.6 * view.scale, 6.5 * view.scale), INK)
    page.label((20, 110), ("two cable ties,", "foam below"), view.at(-board.length_mm / 4, -8))
    page.label((586, 110), ("USB stays free",), view.at(board.length_mm / 2, -2), "end")
    page.label((300, 410), ("wires tied within 2 cm",), view.at(-28.2, 6))
    page.middle((300, 456), ("Four screws hold the tray on the car.",))
    return page.svg()


def capacitors() -> str:
    page = Page("The capacitor at a sensor, and its cable", 430)
    page.heading(3, "Solder a capacitor at each sensor")
    page.box((60, 130), (220, 150), MODULE, corner=4)
    page.text((80, 160), "sensor module", size=SMALL)
    names = (("VCC", "S"), ("GND", "-"), ("OUT", "A"))
    for number, (name, wire) in enumerate(names):
        y = 180.0 + 36.0 * number
        page.text((246, y + 6), name, "end", size=SMALL)
        page.circle((262, y), 6.0, STEEL)
        bundle = 214 + 6.0 * number
        page.line([(262, y), (380, y), (440, bundle), (590, bundle)], COLOURS[wire], 4.0)
    page.line([(310, 180), (310, 190)], INK, 2.5)
    page.line([(310, 206), (310, 216)], INK, 2.5)
    page.circle((310, 198), 12.0, "#d98c2b")
    page.box((456, 204), (14, 36), INK, corner=3)
    page.label((330, 120), ("100 nF from + to", "\N{MINUS SIGN}, within 2 cm"), (316, 190))
    page.label((480, 310), ("tie, within", "2 cm"), (463, 238))
    page.middle((300, 400), ("Either way round: this capacitor has no + and no \N{MINUS SIGN}.",))
    return page.svg()


def meter() -> str:
    page = Page("Measuring the battery before the board is connected", 470)
    page.heading(4, "Measure before you connect")
    page.box((40, 110), (150, 230), "#f0c24b", corner=14)
    page.box((58, 130), (114, 56), "#dfe8d8")
    page.text((115, 168), "4.9 V", "middle", bold=True)
    page.circle((115, 240), 30, CARD)
    page.line([(115, 240), (115, 214)], INK, 4.0)
    page.text((115, 304), "DC volts", "middle", size=SMALL)
    page.line([(90, 340), (90, 390), (330, 390), (330, 262)], INK, 4.0)
    page.line([(140, 340), (140, 366), (270, 366), (270, 180), (330, 180)], "#b3261e", 4.0)
    page.line([(330, 180), (440, 180)], ORANGE, 4.0)
    page.line([(330, 262), (440, 262)], INK, 4.0)
    for y, words in ((180.0, "+ after the diode"), (262.0, "\N{MINUS SIGN} of the battery")):
        page.circle((330, y), 6.0, INK, INK)
        page.text((350, y - 14), words, size=SMALL)
    page.text((452, 222), "no board yet", size=SMALL, bold=True)
    page.middle(
        (300, 424),
        (
            "4.5 to 5.7 V, and no minus sign before it: connect the board.",
            "A minus sign: the cells or the leads are the wrong way round.",
        ),
    )
    return page.svg()


def under_cover() -> str:
    page = Page("The cover over disc and sensors", 520)
    page.heading(5, "Cover disc and sensors")
    view = View(300, 280, 3.7)
    lid = cover(WANTED).panels[0]
    page.shape(lid.outer, view, DARK)
    for hole in lid.holes:
        page.shape(hole, view, PAPER, width=1.5)
    radius = lid.outer.area().bounds[2]
    page.shape(Circle(WANTED.disc_mm), view, "none", LAMP, 2.0)
    page.box(view.at(-22, radius - 5), (44 * view.scale, 10 * view.scale), PAPER)
    page.label((20, 110), ("lid of card", "or plywood"), view.at(-28, -26))
    page.label(
        (586, 110), ("black strip", "around its rim"), view.at(radius * 0.72, -radius * 0.69), "end"
    )
    page.label((20, 420), ("open here for", "the bracket's base"), view.at(-16, radius))
    page.label((586, 440), ("the disc, inside",), view.at(21, 21.5), "end")
    page.middle((300, 506), ("It touches neither the shaft nor the disc.",))
    return page.svg()


def check() -> str:
    page = Page("Turning the wheel while unspool looks at the sensors", 420)
    page.heading(6, "Turn the wheel, and let unspool look")
    page.circle((150, 230), 92, CARD)
    page.circle((150, 230), 44, WOOD)
    page.circle((150, 230), 6, STEEL)
    page.arrow([(70, 140), (110, 116), (150, 110), (190, 116), (232, 142)], ORANGE, 5.0)
    page.text((150, 360), "the way it turns forward", "middle", size=SMALL)
    page.box((330, 130), (240, 170), DARK, corner=8)
    page.box((344, 144), (212, 142), PAPER)
    page.text((358, 176), "unspool check", size=SMALL, bold=True)
    for number, line in enumerate(("ok  Sensor A sees", "ok  Sensor B sees", "ok  forward")):
        page.text((358, 208 + 26.0 * number), line, size=SMALL)
    page.line([(242, 270), (290, 320), (450, 320), (450, 300)], GREY, 4.0)
    page.text((370, 350), "USB", "middle", size=SMALL)
    page.middle((300, 400), ("The string is not wound, and the weight is down.",))
    return page.svg()


STEPS = {
    "car-1-places": places,
    "car-2-tray": on_tray,
    "car-3-capacitors": capacitors,
    "car-4-meter": meter,
    "car-5-cover": under_cover,
    "car-6-check": check,
}
