"""The RP2040's USB port: what it says that it is, and who gets its bytes."""

from __future__ import annotations

import subprocess
import time

import pytest

from firmware.stepped import SteppedBoard, Talk, edges_every
from unspool.instrument.firmware import identify_board
from unspool.instrument.firmware.build import SOURCES, build_firmware
from unspool.instrument.link.serial import SerialLink
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

CODING = "80250000000008"  # 9600 baud, one stop bit, no parity, 8 bits


def ask(**requests: str) -> dict[str, str]:
    image = build_firmware("rp2040").image
    asked = [f"{name}:{request}" for name, request in requests.items()]
    command = ["node", SOURCES / "sim" / "pico" / "ask.js", image, *asked]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    lines = [line.partition(" ") for line in said.splitlines()]
    return {name: answer for name, _, answer in lines}


def test_a_computer_learns_what_it_is() -> None:
    """By USB 2.0, chapter 9, and its CDC class (from memory)."""
    told = ask(
        device="8006000100001200",
        head="8006000200000900",
        configuration="800600020000ff00",
        languages="800600030000ff00",
        product="800602030904ff00",
        no_such_string="800609030904ff00",
        status="8000000000000200",
        no_such_request="8077000000000100",
    )
    device, whole = bytes.fromhex(told["device"]), bytes.fromhex(told["configuration"])
    assert device[:8] == bytes((18, 1, 0, 2, 2, 0, 0, 64))
    assert len(device) == 18
    assert bytes.fromhex(told["head"]) == whole[:9]
    assert int.from_bytes(whole[2:4], "little") == len(whole)
    assert [(kind, *rest) for kind, *rest in parts(whole) if kind == 5] == [
        (5, 0x81, 3, 8),
        (5, 0x82, 2, 64),
        (5, 0x02, 2, 64),
    ]
    assert told["languages"] == "04030904"
    assert bytes.fromhex(told["product"])[2:].decode("utf-16-le") == "RP2040"
    assert told["status"] == "0000"
    assert told["no_such_string"] == told["no_such_request"] == "refused"


def parts(configuration: bytes) -> list[tuple[int, ...]]:
    """Type of each descriptor; of an endpoint also its address, kind and packet."""
    found = []
    while configuration:
        one, configuration = configuration[: configuration[0]], configuration[configuration[0] :]
        found.append((one[1], one[2], one[3], one[4]) if one[1] == 5 else (one[1],))
    return found


def test_line_coding_is_kept_and_shown() -> None:
    told = ask(
        before="a121000000000700",
        set=f"2120000000000700:{CODING}",
        after="a121000000000700",
        dtr="2122030000000000",
    )
    assert told["before"] == "00c20100000008"
    assert told["after"] == CODING
    assert told["set"] == told["dtr"] == ""


def test_edges_come_over_the_uart_too() -> None:
    with SteppedBoard("--uart", board="rp2040") as board:
        talk = Talk(board)
        talk.until(1.2, edges_every(0.002, 200, 0.6))
    assert [number for number, _, _ in talk.edges] == list(range(200))


def test_port_that_a_program_opens_late_has_the_board_at_once() -> None:
    """Nobody took its bytes before, so they went to the UART; the edges waited."""
    with SimulatedBoard(board="rp2040") as board:
        board.feed((0.5 + i * 0.002, 1) for i in range(100))
        while board.time_s < 1.5:
            time.sleep(0.05)
        link = SerialLink(board.port)
        link.open()
        found = identify_board(link, 20.0)
        link.close()
    assert found is not None
    assert (found.firmware.split()[0], found.held) == ("rp2040", 100)
