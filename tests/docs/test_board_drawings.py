"""The drawings of boards in hardware/ are what the script draws, and use the firmware's pins."""

from __future__ import annotations

from pathlib import Path
from runpy import run_path

import pytest

HARDWARE = Path(__file__).parents[2] / "hardware"
SCRIPT = run_path(str(HARDWARE / "make_drawings.py"))
BOARDS, drawing = SCRIPT["BOARDS"], SCRIPT["drawing"]

# The sensors' pins by the numbers printed on the boards. ATmega328P: PB0 is 8, PD7 is 7.
# ATmega2560: PL0 is 49, PB3 is 50.
SENSORS = {
    "nano": {"A": "8", "B": "7"},
    "uno": {"A": "8", "B": "7"},
    "mega": {"A": "49", "B": "50"},
}


@pytest.mark.parametrize("name", BOARDS)
def test_shipped_drawing_is_what_the_script_draws(name: str) -> None:
    shipped = (HARDWARE / f"pins-{name}.svg").read_text(encoding="utf-8")
    assert shipped == drawing(BOARDS[name])


@pytest.mark.parametrize("name", BOARDS)
def test_wires_end_on_the_pins_of_their_name(name: str) -> None:
    board = BOARDS[name]
    sides = ((board.left, board.uses_left), (board.right, board.uses_right))
    ends = {wire: pins[row] for pins, uses in sides for row, wire in uses.items()}
    ends |= {wire: board.end[row][place] for row, place, wire in board.uses_end}
    allowed = {"+": {"5V"}, "-": {"GND"}, "rx": {"RX0"}, "tx": {"TX1", "TX0"}}
    allowed |= {wire: {pin} for wire, pin in SENSORS[name].items()}
    assert set(ends) == set(allowed)
    assert all(ends[wire] in pins for wire, pins in allowed.items())
