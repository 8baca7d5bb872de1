"""The pictures of hardware/ are what the script draws, can be read, and show the right pins."""

from __future__ import annotations

import re
from pathlib import Path
from runpy import run_path
from xml.etree import ElementTree as ET

import pytest

from workshop.svg import NS, texts
from workshop.text_boxes import unreadable

HARDWARE = Path(__file__).parents[2] / "hardware"
FIRMWARE = HARDWARE.parent / "firmware" / "boards"
DRAWINGS = run_path(str(HARDWARE / "make_drawings.py"))["DRAWINGS"]
SMALLEST = 17.0  # of 600 units across: 10 points high on a telephone

# What the ports of a chip are called on the boards: common practice, from memory.
NUMBERS = {"PB0": "8", "PD7": "7", "PL0": "49", "PB3": "50"}
SENSORS = {
    "nano": {"A": "PB0", "B": "PD7"},
    "uno": {"A": "PB0", "B": "PD7"},
    "mega": {"A": "PL0", "B": "PB3"},
}
CHIPS = {"nano": "atmega328p", "uno": "atmega328p", "mega": "atmega2560"}


def shipped(name: str) -> ET.Element:
    return ET.fromstring((HARDWARE / "pictures" / f"{name}.svg").read_bytes())


@pytest.mark.parametrize("name", DRAWINGS)
def test_shipped_drawing_is_what_the_script_draws(name: str) -> None:
    file = HARDWARE / "pictures" / f"{name}.svg"
    assert file.read_text(encoding="utf-8") == DRAWINGS[name]()


def test_no_drawing_is_left_over() -> None:
    parts = {"disc-10-slots", "pattern-10-slots"}  # of `unspool part`, tests/cli sees to them
    assert {file.stem for file in (HARDWARE / "pictures").glob("*.svg")} == set(DRAWINGS) | parts


@pytest.mark.parametrize("name", DRAWINGS)
def test_words_lie_apart_within_the_page(name: str) -> None:
    assert unreadable(shipped(name)) == []


@pytest.mark.parametrize("name", DRAWINGS)
def test_letters_are_large_enough_for_a_telephone(name: str) -> None:
    root = shipped(name)
    sizes = [float(e.get("font-size", root.attrib["font-size"])) for e in root.iter(f"{NS}text")]
    assert min(sizes) >= SMALLEST


def bold_in_columns(root: ET.Element) -> dict[float, list[str]]:
    """Height -> the bold words on one line: a pin that is used, and the letter of its wire."""
    rows: dict[float, list[str]] = {}
    for e in root.iter(f"{NS}text"):
        if e.get("font-weight") == "bold":
            y = float(e.attrib["y"])
            row = next((at for at in rows if abs(at - y) < 3.0), y)
            rows.setdefault(row, []).append(e.text or "")
    return rows


def letter_of_pin(board: str) -> dict[str, str]:
    """Wire -> the pin that stands on its line."""
    found = {}
    for words in bold_in_columns(shipped(f"pins-{board}")).values():
        letters = [word for word in words if re.fullmatch(r"[ABSTR+\N{MINUS SIGN}]", word)]
        pins = [word for word in words if word not in letters]
        found |= dict.fromkeys(letters, pins)
    return {letter: " ".join(pins) for letter, pins in found.items()}


@pytest.mark.parametrize(("board", "sensors"), SENSORS.items())
def test_sensors_stand_at_the_pins_of_the_firmware(board: str, sensors: dict[str, str]) -> None:
    header = (FIRMWARE / CHIPS[board] / "chip.h").read_text()
    drawn = letter_of_pin(board)
    for wire, port in sensors.items():
        letter, bit = port[1], port[2]
        assert f"#define {wire}_PORT PORT{letter}\n" in header
        assert f"#define {wire}_BIT {bit}\n" in header
        assert NUMBERS[port] in re.findall(r"\d+", drawn[wire])


@pytest.mark.parametrize("board", CHIPS)
def test_supply_and_serial_line_stand_at_their_pins(board: str) -> None:
    drawn = letter_of_pin(board)
    assert "5V" in drawn["S"]
    assert "5V" in drawn["+"]
    assert "GND" in drawn["\N{MINUS SIGN}"]
    assert re.search(r"RX0|RX 0", drawn["R"])
    assert re.search(r"TX0|TX1|TX 1", drawn["T"])


def test_pico_stands_at_the_pins_of_its_firmware_and_feeds_sensors_with_3_3_volts() -> None:
    header = (FIRMWARE / "rp2040" / "chip.h").read_text()
    root = shipped("pins-pico")
    at = {e.text: float(e.attrib["y"]) for e in root.iter(f"{NS}text")}
    for wire, name in (("A", "A"), ("B", "B"), ("T", "TX"), ("R", "RX")):
        (number,) = re.findall(rf"PIN_{name} = (\d+),", header)
        assert at[wire] == pytest.approx(at[f"GP{number}"], abs=3.0)
    assert at["S"] == pytest.approx(at["3V3"], abs=3.0)
    assert at["+"] == pytest.approx(at["VSYS"], abs=3.0)


def test_sizes_in_the_steps_are_those_of_the_parts() -> None:
    """From the example: rim 2 and half a slot of 6 mm, a fork of 5 mm, B five quarters from A."""
    said = texts(shipped("fork-5-gap"))
    assert {"beam 5 mm", "gap 5 mm", "disc, 3 mm", "1 mm free"} <= set(said)
    assert "45° clockwise" in texts(shipped("fork-3-bracket"))
    assert "45° clockwise" in texts(shipped("reflective-2-bracket"))
