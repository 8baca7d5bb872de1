"""Electrical parts as they look on the table, each on a wire from left to right."""

from __future__ import annotations

from drawings.ink import CARD, DARK, INK, ORANGE, PAPER, SMALL, STEEL, Page, Point


def diode(page: Page, at: Point) -> None:
    """Current flows from left to right; the ring is on the right."""
    x, y = at
    page.box((x - 26, y - 11), (52, 22), DARK, corner=3)
    page.box((x + 10, y - 11), (8, 22), PAPER)
    page.text((x - 26, y + 38), "diode", size=SMALL)
    page.text((x + 14, y - 20), "ring", "middle", size=SMALL)


def fuse(page: Page, at: Point) -> None:
    x, y = at
    page.box((x - 26, y - 10), (52, 20), PAPER, corner=8)
    page.line([(x - 26, y), (x + 26, y)], ORANGE, 2.0)
    page.text((x, y + 38), "fuse 0.5 A", "middle", size=SMALL)


def switch(page: Page, at: Point) -> None:
    x, y = at
    page.box((x - 24, y - 6), (48, 12), PAPER, PAPER)
    page.line([(x - 20, y), (x + 18, y - 18)], ORANGE, 4.0)
    for end in (x - 22, x + 22):
        page.circle((end, y), 5.0, ORANGE, ORANGE)
    page.text((x, y + 38), "switch", "middle", size=SMALL)


def resistor(page: Page, at: Point, value: str, *, upright: bool = False) -> None:
    x, y = at
    wide, high = (20.0, 36.0) if upright else (52.0, 20.0)
    page.box((x - wide / 2, y - high / 2), (wide, high), "#d9c8a0", corner=6)
    words_at = (x - 18, y + 6) if upright else (x, y - 18)
    page.text(words_at, value, "end" if upright else "middle", size=SMALL)


def capacitor(page: Page, top: Point, bottom: float, value: str, *, plus: bool = False) -> None:
    """Upright, between the wire at `top` and the one at the height `bottom`."""
    x, y = top
    middle = (y + bottom) / 2.0
    page.line([(x, y), (x, middle - 7)], INK, 2.5)
    page.line([(x, middle + 7), (x, bottom)], INK, 2.5)
    for side in (-7.0, 7.0):
        page.line([(x - 18, middle + side), (x + 18, middle + side)], INK, 5.0)
    for joint in (y, bottom):
        page.circle((x, joint), 4.5, INK, INK)
    if plus:
        page.text((x - 26, middle - 8), "+", "middle", size=SMALL, bold=True)
    page.text((x + 28, middle + 6), value, size=SMALL)


def battery(page: Page, at: Point, size: Point) -> tuple[Point, Point]:
    """The box at its upper left corner. Returns the places of + and of minus, on the right."""
    (x, y), (width, height) = at, size
    page.box(at, size, STEEL, corner=6)
    plus, minus = (x + width, y + 28), (x + width, y + height - 28)
    page.text((x + width - 16, plus[1] + 7), "+", "middle", bold=True)
    page.text((x + width - 16, minus[1] + 7), "\N{MINUS SIGN}", "middle", bold=True)
    page.words((x + 10, y + height / 2 + 0.0), ("4 cells",))
    return plus, minus


def module(page: Page, at: Point, name: str, pins: tuple[str, ...]) -> list[Point]:
    """A small board whose pins are on its left, 44 apart. Returns their places."""
    x, y = at
    height = 44.0 * len(pins) + 44.0
    page.box(at, (150, height), CARD, corner=6)
    page.text((x + 75, y + 26), name, "middle", bold=True, size=SMALL)
    places = [(x, y + 58 + 44.0 * number) for number in range(len(pins))]
    for place, pin in zip(places, pins, strict=True):
        page.circle(place, 5.0, INK, INK)
        page.text((place[0] + 12, place[1] + 6), pin, size=SMALL)
    return places
