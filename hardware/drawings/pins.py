"""Which pin of each board carries what: the sensors' and the lamp's from the firmware's headers.

The numbers printed on the boards and the order of their pins are common practice, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

FIRMWARE = Path(__file__).parents[2] / "firmware" / "boards"
# What stands beside a port's bit on the boards.
PRINTED = {
    "atmega328p": {"B0": "8", "D7": "7", "B5": "13"},
    "atmega2560": {"L0": "49", "B3": "50", "B7": "13"},
}


@dataclass(frozen=True)
class Board:
    """Pins from the USB socket downwards, the parts' side up, as they are printed.

    - at_end: two rows far from the socket, the inner one first, each from the left.
    - lamp: the pin of the board's own lamp.
    - wires: wire -> the printed name of its pin.
    """

    key: str
    name: str
    left: tuple[str, ...]
    right: tuple[str, ...]
    wires: dict[str, str]
    lamp: str
    at_end: tuple[tuple[str, ...], ...] = ()


def ports_of(chip: str) -> dict[str, str]:
    """Wire -> port and bit, read from the header of one chip: {"A": "B0", ...}."""
    source = (FIRMWARE / chip / "chip.h").read_text(encoding="utf-8")
    found = {}
    for wire in ("A", "B", "LAMP"):
        port = re.search(rf"#define {wire}_PORT PORT([A-L])\n", source)
        bit = re.search(rf"#define {wire}_BIT (\d)\n", source)
        if port is None or bit is None:
            raise ValueError(f"{chip}/chip.h names no pin for {wire}")
        found[wire] = port[1] + bit[1]
    return found


def _avr(chip: str, other: dict[str, str]) -> tuple[dict[str, str], str]:
    """Wire -> printed number, and the lamp's."""
    number = {wire: PRINTED[chip][port] for wire, port in ports_of(chip).items()}
    return {"A": number["A"], "B": number["B"], **other}, number["LAMP"]


def _numbers(first: int, last: int) -> tuple[str, ...]:
    way = 1 if last > first else -1
    return tuple(str(n) for n in range(first, last + way, way))


_SHIELD = ("", "IOREF", "RESET", "3.3V", "5V", "GND", "GND", "VIN")
_DIGITAL = ("SCL", "SDA", "AREF", "GND", *_numbers(13, 2))
_POWER = {"S": "5V", "+": "5V", "-": "GND"}
_WIRES, _LAMP = _avr("atmega328p", {**_POWER, "T": "TX1", "R": "RX0"})
NANO = Board(
    "nano",
    "Nano",
    ("D13", "3V3", "REF", *(f"A{i}" for i in range(8)), "5V", "RST", "GND", "VIN"),
    (*(f"D{n}" for n in range(12, 1, -1)), "GND", "RST", "RX0", "TX1"),
    {**_WIRES, "A": f"D{_WIRES['A']}", "B": f"D{_WIRES['B']}"},
    f"D{_LAMP}",
)
UNO = Board(
    "uno",
    "Uno",
    (*_SHIELD, *(f"A{i}" for i in range(6))),
    (*_DIGITAL, "TX 1", "RX 0"),
    {**_WIRES, "T": "TX 1", "R": "RX 0"},
    _LAMP,
)
_WIRES, _LAMP = _avr("atmega2560", {**_POWER, "T": "TX0 1", "R": "RX0 0"})
MEGA = Board(
    "mega",
    "Mega",
    (*_SHIELD, *(f"A{i}" for i in range(16))),
    (*_DIGITAL, "TX0 1", "RX0 0", *_numbers(14, 21)),
    _WIRES,
    _LAMP,
    (
        ("GND", *(str(n) for n in range(52, 21, -2)), "5V"),
        ("GND", *(str(n) for n in range(53, 22, -2)), "5V"),
    ),
)


def _pico_left() -> tuple[str, ...]:
    """A ground after each four pins, but the first after two."""
    rows = []
    for number in range(16):
        rows += [f"GP{number}"] + (["GND"] if number % 4 == 1 else [])
    return tuple(rows)


def _rp2040() -> tuple[dict[str, str], str]:
    """Wire -> printed number, and the lamp's: a Pico prints the numbers of its chip's pins."""
    source = (FIRMWARE / "rp2040" / "chip.h").read_text(encoding="utf-8")
    number = {name: f"GP{n}" for name, n in re.findall(r"PIN_(\w+) = (\d+),", source)}
    wires = {"A": number["A"], "B": number["B"], "T": number["TX"], "R": number["RX"]}
    return wires, number["LAMP"]


_GP, _GP_LAMP = _rp2040()
PICO = Board(
    "pico",
    "Pico",
    _pico_left(),
    (
        *("VBUS", "VSYS", "GND", "3V3_EN", "3V3", "VREF", "GP28", "AGND", "GP27", "GP26"),
        *("RUN", "GP22", "GND", "GP21", "GP20", "GP19", "GP18", "GND", "GP17", "GP16"),
    ),
    {**_GP, "S": "3V3", "+": "VSYS", "-": "GND"},
    lamp=_GP_LAMP,
)
BOARDS = {board.key: board for board in (NANO, UNO, MEGA, PICO)}
