"""What hangs on each letter of a board's drawing: sensors, battery, radio."""

from __future__ import annotations

from drawings.ink import GREY, INK, SMALL, Page, Point
from drawings.symbols import battery, capacitor, diode, fuse, module, resistor, switch
from drawings.wires import COLOURS, WORDS, sign


def _to_badge(page: Page, start: Point, x: float, wire: str) -> None:
    page.line([start, (x, start[1])], COLOURS[wire], 4.0)
    page.badge((x, start[1]), sign(wire), COLOURS[wire])


def _sensor(page: Page, top: float, wire: str) -> None:
    places = module(page, (410, top), WORDS[wire], ("OUT or DO", "VCC or +", "GND"))
    for place, letter in zip(places, (wire, "S", "-"), strict=True):
        _to_badge(page, place, 60.0, letter)
        page.text((84, place[1] - 10), _end(letter), size=SMALL)
    capacitor(page, (262, places[1][1]), places[2][1], "100 nF")


def _end(wire: str) -> str:
    return {"S": "board's S", "-": "board's \N{MINUS SIGN}"}.get(wire, f"board's {wire}")


def sensors(count: int) -> str:
    height = 236.0 * count + 106.0
    page = Page("How the sensors are wired", height)
    page.heading(None, "Sensor A alone" if count == 1 else "Sensors A and B")
    for number, wire in enumerate("AB"[:count]):
        _sensor(page, 70.0 + 236.0 * number, wire)
    free = "The capacitor is close to the module. AO stays free."
    page.text((300, height - 26), free, "middle", size=SMALL, colour=GREY)
    return page.svg()


def supply() -> str:
    page = Page("From the battery to the board", 330.0)
    page.heading(None, "Battery to board")
    plus, minus = battery(page, (20, 80), (110, 170))
    page.line([plus, (540, plus[1])], COLOURS["+"], 4.0)
    page.line([minus, (540, minus[1])], COLOURS["-"], 4.0)
    fuse(page, (190, plus[1]))
    switch(page, (290, plus[1]))
    diode(page, (386, plus[1]))
    capacitor(page, (470, plus[1]), minus[1], "100 \N{MICRO SIGN}F", plus=True)
    for wire, y in (("+", plus[1]), ("-", minus[1])):
        page.badge((554, y), sign(wire), COLOURS[wire])
    page.words(
        (20, 284),
        ("Towards the board: the diode's ring, the capacitor's +.", "A dot is a joint."),
        colour=GREY,
    )
    return page.svg()


def radio(divider: bool) -> str:
    """With a board of 5 V two resistors bring its TXD down to what the module bears."""
    page = Page("How the Bluetooth module is wired", 400.0)
    page.heading(None, "Bluetooth on a 5 V board" if divider else "Bluetooth on a 3.3 V board")
    places = module(page, (420, 80), "module", ("RXD", "GND", "TXD", "VCC"))
    wires = ("T", "-", "R")
    for place, letter in zip(places, wires, strict=False):
        _to_badge(page, place, 60.0, letter)
    _power(page, places[3], divider)
    if divider:
        _divider(page, places[0][1], places[1][1])
    page.words((20, 344), _radio_note(divider), colour=GREY)
    return page.svg()


def _radio_note(divider: bool) -> tuple[str, ...]:
    if divider:
        return (
            "For a module whose carrier takes 3.6 to 6 V.",
            "Your module may have its pins in another order.",
        )
    return (
        "No resistor: both sides work at 3.3 V. If the module's",
        "carrier asks for 3.6 to 6 V, take the board's +, not S.",
    )


def _power(page: Page, at: Point, divider: bool) -> None:
    letter = "+" if divider else "S"
    _to_badge(page, at, 60.0, letter)
    page.text((84, at[1] - 10), f"board's {letter}", size=SMALL)


def _divider(page: Page, top: float, ground: float) -> None:
    resistor(page, (190, top), "1 k\N{OHM SIGN}")
    x = 300.0
    resistor(page, (x, (top + ground) / 2), "2 k\N{OHM SIGN}", upright=True)
    for y in (top, ground):
        page.circle((x, y), 5.0, INK, INK)


def reset() -> str:
    """Keeps an opened USB port from resetting the board."""
    page = Page("The capacitor that keeps an opened port from resetting the board", 270.0)
    page.heading(None, "No reset when the port is opened")
    page.line([(60, 90), (300, 90)], INK, 4.0)
    page.line([(60, 170), (300, 170)], INK, 4.0)
    page.text((60, 76), "RST or RESET")
    page.text((60, 200), "GND")
    capacitor(page, (240, 90), 170, "10 \N{MICRO SIGN}F", plus=True)
    page.middle((300, 240), ("Take it off while you put a program on the board.",))
    return page.svg()


def bare_fork() -> str:
    """A light barrier without a logic output: four legs and two resistors."""
    page = Page("A fork without a circuit board of its own", 384.0)
    page.heading(None, "A bare fork: four legs, two resistors")
    page.box((250, 110), (130, 180), "#3a414a", corner=6)
    page.box((296, 96), (38, 130), "#ffffff", "#ffffff")
    page.line([(315, 110), (315, 226)], GREY, 1.5, "6 5")
    page.text((315, 314), "fork", "middle", size=SMALL)
    rows = ((150.0, "S", "220 \N{OHM SIGN}"), (250.0, "-", ""))
    for y, wire, value in rows:
        _to_badge(page, (250, y), 50.0, wire)
        if value:
            resistor(page, (150, y), value)
    page.text((238, 140), "E +", "end", size=SMALL)
    page.text((238, 240), "E \N{MINUS SIGN}", "end", size=SMALL)
    for y, wire in ((150.0, "A"), (250.0, "-")):
        page.line([(380, y), (550, y)], COLOURS[wire], 4.0)
        page.badge((550, y), sign(wire), COLOURS[wire])
    page.line([(480, 150), (480, 92), (550, 92)], COLOURS["S"], 4.0)
    page.badge((550, 92), "S", COLOURS["S"])
    page.circle((480, 150), 5.0, INK, INK)
    resistor(page, (480, 120), "4.7 k\N{OHM SIGN}", upright=True)
    page.text((392, 172), "D, collector", size=SMALL)
    page.text((392, 240), "D, emitter", size=SMALL)
    note = ("E is the side that shines, D the side that sees.", "Sensor B: the same, on B.")
    page.middle((300, 340), note)
    return page.svg()
