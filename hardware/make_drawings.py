"""Draws the boards of hardware/README.md with the pins that the instrument uses.

Run it from the project's folder: `python hardware/make_drawings.py`. A test sees that the drawings
that lie here are what it draws. The order of the pins is common practice, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree as ET

HERE = Path(__file__).parent
PITCH = 17.0  # between two pins, on the screen
TOP = 74.0
COLUMN = {"left": 250.0, "right": 470.0}
INK, PAPER, BOARD = "#14181d", "#ffffff", "#f2f4f6"
# One colour and one sign for each wire; told apart without colour by its words, too.
WIRES = {
    "A": ("sensor A, output", "#0b5394"),
    "B": ("sensor B, output", "#0b6e4f"),
    "+": ("+ of battery and sensors", "#a63603"),
    "-": ("\N{MINUS SIGN} of battery and sensors", "#14181d"),
    "rx": ("TXD of the radio", "#6a3d9a"),
    "tx": ("RXD of the radio, through 1 k\N{OHM SIGN}", "#6a3d9a"),
}


@dataclass(frozen=True)
class BoardDrawing:
    """Pins from the USB socket downwards, the parts' side up. uses: pin number -> wire.

    Pins are counted from 0 at the top of each side, since names such as GND come twice.
    """

    name: str
    left: tuple[str, ...]
    right: tuple[str, ...]
    uses_left: dict[int, str]
    uses_right: dict[int, str]
    end: tuple[tuple[str, ...], ...] = ()  # two rows far from the socket, the inner one first
    uses_end: tuple[tuple[int, int, str], ...] = ()  # row, place from the left, wire


NANO = BoardDrawing(
    "Nano",
    ("13", "3V3", "AREF", *(f"A{i}" for i in range(8)), "5V", "RST", "GND", "VIN"),
    (*(str(i) for i in range(12, 1, -1)), "GND", "RST", "RX0", "TX1"),
    {11: "+", 13: "-"},
    {4: "A", 5: "B", 13: "rx", 14: "tx"},
)
UNO = BoardDrawing(
    "Uno",
    ("", "IOREF", "RST", "3V3", "5V", "GND", "GND", "VIN", *(f"A{i}" for i in range(6))),
    ("SCL", "SDA", "AREF", "GND", *(str(i) for i in range(13, 1, -1)), "TX1", "RX0"),
    {4: "+", 5: "-"},
    {9: "A", 10: "B", 16: "tx", 17: "rx"},
)
MEGA = BoardDrawing(
    "Mega",
    ("", "IOREF", "RST", "3V3", "5V", "GND", "GND", "VIN", *(f"A{i}" for i in range(16))),
    (
        *("SCL", "SDA", "AREF", "GND"),
        *(str(i) for i in range(13, 1, -1)),
        *("TX0", "RX0"),
        *(str(i) for i in range(14, 22)),
    ),
    {4: "+", 5: "-"},
    {16: "tx", 17: "rx"},
    (
        ("GND", *(str(i) for i in range(52, 21, -2)), "5V"),
        ("GND", *(str(i) for i in range(53, 22, -2)), "5V"),
    ),
    ((1, 3, "A"), (0, 2, "B")),
)
BOARDS = {"nano": NANO, "uno": UNO, "mega": MEGA}


def drawing(board: BoardDrawing) -> str:
    """The board as SVG text."""
    rows = max(len(board.left), len(board.right)) + (4 if board.end else 0)
    height = TOP + PITCH * rows + (100.0 if board.end else 70.0)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": "720",
            "height": f"{height:g}",
            "viewBox": f"0 0 720 {height:g}",
            "font-family": "sans-serif",
            "font-size": "13",
        },
    )
    ET.SubElement(root, "title").text = f"Pins of the {board.name} board that the instrument uses"
    ET.SubElement(root, "rect", {"width": "720", "height": f"{height:g}", "fill": PAPER})
    _outline(root, board, PITCH * rows + 24.0)
    _column(root, board.left, board.uses_left, "left")
    _column(root, board.right, board.uses_right, "right")
    _end(root, board, TOP + PITCH * (rows - 2))
    note = "The parts' side is up. Pins without a wire stay free."
    _text(root, 360.0, height - 14.0, note, "middle")
    ET.indent(root)
    return ET.tostring(root, encoding="unicode", xml_declaration=True) + "\n"


def _outline(root: ET.Element, board: BoardDrawing, height: float) -> None:
    width = COLUMN["right"] - COLUMN["left"] + 30.0
    box = {"x": f"{COLUMN['left'] - 15.0:g}", "y": f"{TOP - 20.0:g}", "width": f"{width:g}"}
    line = {"fill": BOARD, "stroke": INK, "stroke-width": "1.5"}
    ET.SubElement(root, "rect", {**box, "height": f"{height:g}", "rx": "6", **line})
    socket = {"x": "330", "y": f"{TOP - 36.0:g}", "width": "60", "height": "30"}
    ET.SubElement(root, "rect", {**socket, **line, "fill": "#d3d7dc"})
    _text(root, 360.0, TOP - 16.0, "USB", "middle")
    _text(root, 360.0, TOP + height / 2.0 - 20.0, board.name, "middle", bold=True)


def _column(root: ET.Element, pins: tuple[str, ...], uses: dict[int, str], side: str) -> None:
    out = -1.0 if side == "left" else 1.0
    x = COLUMN[side]
    for row, name in enumerate(pins):
        y = TOP + PITCH * row
        wire = uses.get(row)
        colour = WIRES[wire][1] if wire else "#9aa3ad"
        ET.SubElement(root, "circle", {"cx": f"{x:g}", "cy": f"{y:g}", "r": "4", "fill": colour})
        anchor = "start" if side == "left" else "end"
        _text(root, x - out * 10.0, y + 4.5, name, anchor, bold=wire is not None)
        if wire:
            _wire(root, (x, y), out, wire)


def _wire(root: ET.Element, at: tuple[float, float], out: float, wire: str) -> None:
    words, colour = WIRES[wire]
    x, y = at
    end = x + out * 34.0
    line = {"x1": f"{x:g}", "y1": f"{y:g}", "x2": f"{end:g}", "y2": f"{y:g}"}
    ET.SubElement(root, "line", {**line, "stroke": colour, "stroke-width": "3"})
    _text(root, end + out * 6.0, y + 4.5, words, "end" if out < 0 else "start")


def _end(root: ET.Element, board: BoardDrawing, top: float) -> None:
    """The inner row's wires are named above it, the outer row's below it."""
    wires = {(row, place): wire for row, place, wire in board.uses_end}
    for row, pins in enumerate(board.end):
        y = top + PITCH * row
        for place, name in enumerate(pins):
            x = COLUMN["left"] + (COLUMN["right"] - COLUMN["left"]) * place / (len(pins) - 1)
            wire = wires.get((row, place))
            colour = WIRES[wire][1] if wire else "#9aa3ad"
            dot = {"cx": f"{x:g}", "cy": f"{y:g}", "r": "4", "fill": colour}
            ET.SubElement(root, "circle", dot)
            if wire:
                away = y + (36.0 if row else -20.0)
                line = {"x1": f"{x:g}", "y1": f"{y:g}", "x2": f"{x:g}", "y2": f"{away:g}"}
                ET.SubElement(root, "line", {**line, "stroke": colour, "stroke-width": "3"})
                words = f"{name}: {WIRES[wire][0]}"
                _text(root, x + 6.0, away + (4.0 if row else 0.0), words, "start", bold=True)


def _text(
    root: ET.Element, x: float, y: float, words: str, anchor: str, *, bold: bool = False
) -> None:
    style = {"text-anchor": anchor, "fill": INK, **({"font-weight": "bold"} if bold else {})}
    ET.SubElement(root, "text", {"x": f"{x:g}", "y": f"{y:g}", **style}).text = words


def main() -> None:
    for name, board in BOARDS.items():
        (HERE / f"pins-{name}.svg").write_text(drawing(board), encoding="utf-8")


if __name__ == "__main__":
    main()
