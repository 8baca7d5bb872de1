"""One letter and one colour for each wire: nobody needs the colour."""

from __future__ import annotations

from drawings.ink import BLUE, GREEN, INK, ORANGE, PURPLE

COLOURS = {
    "A": BLUE,
    "B": GREEN,
    "S": "#8a5a00",
    "+": ORANGE,
    "-": INK,
    "T": PURPLE,
    "R": "#8c2155",
}
SIGNS = {"-": "\N{MINUS SIGN}"}
WORDS = {
    "A": "sensor A",
    "B": "sensor B",
    "S": "sensors' +",
    "+": "battery +",
    "-": "all \N{MINUS SIGN}",
    "T": "to radio",
    "R": "from radio",
}


def sign(wire: str) -> str:
    return SIGNS.get(wire, wire)
