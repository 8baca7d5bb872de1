"""The book of hardware/: whole, and each figure, command and answer in it is the code's."""

from __future__ import annotations

import re
import shlex
import tomllib
from dataclasses import replace
from math import hypot
from pathlib import Path

import pytest

from instrument.sensors.turned import Bench
from unspool.car import load_car, parse_car
from unspool.cli.check import _mark
from unspool.cli.entry import run
from unspool.instrument.sensors import judge
from unspool.render.words.findings import sentence
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.workshop.modules import BOARDS, SensorKind
from unspool.workshop.parts.bracket import depth_mm
from unspool.workshop.parts.make import from_car
from workshop.makes import measures

BOOK = Path(__file__).parents[2] / "hardware"
FIRMWARE = BOOK.parent / "firmware" / "boards"
PAGES = {page.stem: page.read_text(encoding="utf-8") for page in sorted(BOOK.glob("*.md"))}
BUILDS = {
    "build-1-disc": SensorKind.FORK,
    "build-2-pattern": SensorKind.REFLECTIVE,
    "build-3-magnets": SensorKind.HALL,
}
COMMANDS = sorted(
    set(re.findall(r"^    (unspool part .+)$", "\n".join(PAGES.values()), re.MULTILINE))
)
SECTIONS = [
    *("What to buy", "What to make", "Wiring", "Step by step", "Settings"),
    *("What the car file says", "What the check shows", "What it can show"),
]
# What a chip's ports are called on the boards: common practice, from memory.
NUMBERS = {
    "nano": {"PB0": "D8", "PD7": "D7", "PB5": "D13"},
    "uno": {"PB0": "8", "PD7": "7", "PB5": "13"},
    "mega": {"PL0": "49", "PB3": "50", "PB7": "13"},
}
CHIPS = {"nano": "atmega328p", "uno": "atmega328p", "mega": "atmega2560", "pico": "rp2040"}


def rows(text: str) -> list[list[str]]:
    """The cells of every table's rows."""
    lines = [line for line in text.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def row(page: str, first: str) -> list[str]:
    (found,) = [cells for cells in rows(PAGES[page]) if cells[0] == first]
    return found


def pin(board: str, wire: str) -> str:
    """The number that is printed beside a sensor's pin, by the firmware's header."""
    header = (FIRMWARE / CHIPS[board] / "chip.h").read_text()
    if board == "pico":
        number = re.search(rf"PIN_{wire} = (\d+),", header)
        assert number
        return f"GP{number[1]}"
    port = re.search(rf"#define {wire}_PORT PORT(\w)\n", header)
    bit = re.search(rf"#define {wire}_BIT (\d)\n", header)
    assert port
    assert bit
    return NUMBERS[board][f"P{port[1]}{bit[1]}"]


def test_every_page_is_led_to_from_the_first() -> None:
    led_to = set(re.findall(r"\]\(([\w-]+)\.md", PAGES["README"]))
    assert led_to >= set(PAGES) - {"README"}


def test_every_picture_is_shown() -> None:
    shown = {
        name for text in PAGES.values() for name in re.findall(r"pictures/([\w-]+)\.svg", text)
    }
    assert shown == {file.stem for file in (BOOK / "pictures").glob("*.svg")}


@pytest.mark.parametrize("page", BUILDS)
def test_each_build_is_complete(page: str) -> None:
    headings = re.findall(r"^## (.+)$", PAGES[page], re.MULTILINE)
    assert headings[: len(SECTIONS)] == SECTIONS
    steps = re.findall(r"!\[Step (\d)\]\(pictures/[\w]+-(\d)", PAGES[page])
    assert [a for a, _ in steps] == [b for _, b in steps] == [str(n + 1) for n in range(len(steps))]
    assert "guessed" in PAGES[page]


def test_pins_of_the_boards_are_those_of_the_firmware() -> None:
    header = row("boards", "letter")
    for board in CHIPS:
        column = header.index(board.capitalize())
        for wire in ("A", "B", "lamp"):
            assert row("boards", wire)[column] == pin(board, wire.upper())


@pytest.mark.parametrize("page", BUILDS)
def test_wiring_of_a_build_names_the_same_pins(page: str) -> None:
    table = {cells[0]: cells[2:] for cells in rows(PAGES[page]) if cells[0] in "ABS\N{MINUS SIGN}"}
    assert set(table) == set("AS\N{MINUS SIGN}" if "magnets" in page else "ABS\N{MINUS SIGN}")
    for wire, pins in table.items():
        assert pins == row("boards", wire)[2:]


@pytest.mark.parametrize("command", COMMANDS)
def test_each_part_on_the_pages_can_be_drawn(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-car.toml").write_text(SANDPIPER.read_text())
    words = shlex.split(command)[1:]
    if "NAME" in words:
        return  # the pattern of the commands
    assert run(words) == 0
    assert (tmp_path / words[words.index("--out") + 1]).stat().st_size > 1000


@pytest.mark.parametrize(("page", "sensor"), BUILDS.items())
def test_car_file_of_a_build_is_one_that_unspool_reads(page: str, sensor: SensorKind) -> None:
    (written,) = re.findall(r"```toml\n(.*?)```", PAGES[page], re.DOTALL)
    whole = re.sub(r"\[encoder\]\n(?:.+\n)+", written, SANDPIPER.read_text())
    encoder = parse_car(whole, "my-car.toml").encoder
    assert encoder.pulses_per_turn == 2 * measures(sensor).slots
    assert encoder.sensors == tomllib.loads(written)["encoder"]["sensors"]
    assert encoder.sensors == (1 if sensor is SensorKind.HALL else 2)


def answer(page: str) -> list[str]:
    """What `unspool check` prints of a right instrument."""
    if BUILDS[page] is SensorKind.HALL:
        bench = Bench(slots=4, high=0.2, b_dead=True, turns=10)
        verdict = judge(bench.samples(), 8, 10, 1)
    else:
        verdict = judge(Bench().samples(), 20)
    assert verdict.ok
    return [f"{_mark(one)[0]:6}{sentence(one)}" for one in verdict.findings]


@pytest.mark.parametrize("page", BUILDS)
def test_check_answers_as_the_page_says(page: str) -> None:
    (shown,) = re.findall(r"```text\n(.*?)```", PAGES[page], re.DOTALL)
    assert shown.splitlines() == [*answer(page), "the sensors are fine"]


@pytest.mark.parametrize(("page", "sensor"), BUILDS.items())
def test_free_shaft_is_enough_for_the_bracket(page: str, sensor: SensorKind) -> None:
    (said,) = re.findall(r"needs (\d+) mm of free shaft", PAGES[page])
    wanted = measures(sensor)
    needed = depth_mm(wanted) + (wanted.thickness_mm if sensor is SensorKind.FORK else 0.0)
    assert needed <= float(said) <= needed + 5.0


@pytest.mark.parametrize("page", ["build-1-disc", "build-2-pattern"])
def test_an_edge_comes_as_often_as_the_page_says(page: str) -> None:
    car = load_car(SANDPIPER)
    (said,) = re.findall(r"an edge comes each (\d+) mm", PAGES[page].replace("\n", " "))
    assert float(said) == round(1e3 * car.metres_per_edge)


def test_field_of_a_magnet() -> None:
    """On the axis of a cylinder of radius r and length L, magnetised along it: any textbook.

    B = Br/2 ((z + L)/hypot(z + L, r) - z/hypot(z, r)). N35 has a remanence of about 1.17 T (from
    memory), and the element of the switch lies about 0.5 mm below its face (from memory).
    """
    said = {
        float(mm): float(mt)
        for mt, mm in re.findall(r"(\d+) mT at (\d) mm", row("build-3-magnets", "field there")[1])
    }
    assert set(said) == {2.0, 3.0, 4.0}
    for mm, mt in said.items():
        z, length, r = mm + 0.5, 3.0, 2.5
        field = 585.0 * ((z + length) / hypot(z + length, r) - z / hypot(z, r))
        assert mt == pytest.approx(field, rel=0.05)


def number(text: str) -> float:
    return float(re.findall(r"\d+", text)[0])


def price_euro(cells: list[str]) -> tuple[float, float]:
    """Least and most for one row of a parts list."""
    prices = [float(n) for n in re.findall(r"[\d.]+", cells[3])]
    count = number(cells[2]) if "each" in cells[3] else 1.0
    return (count * prices[0], count * prices[-1]) if prices else (0.0, 0.0)


@pytest.mark.parametrize("page", BUILDS)
def test_price_on_the_first_page_is_the_sum_of_the_parts_list(page: str) -> None:
    parts = PAGES[page].split("## What to make")[0]
    spent = [price_euro(cells) for cells in rows(parts)[2:] if cells[0] != "board"]
    assert len(spent) > 8
    said = row("README", "price, guessed, without board and battery")
    low, high = re.findall(r"\d+", said[1 + list(BUILDS).index(page)])
    assert float(low) == pytest.approx(sum(least for least, _ in spent), abs=0.6)
    assert float(high) == pytest.approx(sum(most for _, most in spent), abs=0.6)


def test_run_times_follow_from_charge_and_current() -> None:
    light = number(row("power", "board")[1]) + 2.0 * number(
        row("power", "one light sensor on its module")[1]
    )
    assert light == pytest.approx(60.0, abs=2.0)
    cells = [cells for cells in rows(PAGES["power"]) if len(cells) > 3 and cells[3].endswith(" h")]
    assert len(cells) == 3
    for _, _, charge, hours, _ in cells:
        assert number(hours) == pytest.approx(0.9 * number(charge) / light, rel=0.06)


def test_volts_at_the_board_follow_from_cells_and_diode() -> None:
    for supply in ("four nickel-metal hydride cells", "four alkaline cells"):
        _, fresh, _, empty, diode, left = row("power", supply)
        drop = float(re.findall(r"takes ([\d.]+) V", diode)[0])
        high, low = (float(volts) for volts in re.findall(r"\d\.\d", left))
        assert high == pytest.approx(float(fresh[:-2]) - drop)
        assert low == pytest.approx(float(empty[:-2]) - drop)
        assert high < 6.0  # what destroys the chip, by its data sheet


def test_every_board_has_a_drawing_and_a_tray() -> None:
    shown = set(re.findall(r"pictures/pins-(\w+)\.svg", PAGES["boards"]))
    assert shown == set(BOARDS)
    assert all(board in row("parts-to-make", "`tray`")[1] for board in BOARDS)


def test_disc_of_the_example_needs_the_wheel_that_the_page_says() -> None:
    assert "wheels of 80 mm or more" in PAGES["build-1-disc"].replace("\n", " ")
    car = load_car(SANDPIPER)
    small = replace(car, wheels=tuple(replace(wheel, radius_m=0.040) for wheel in car.wheels))
    assert from_car(small)[1] == pytest.approx(60.0)
