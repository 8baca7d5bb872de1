"""The firmware speaks the protocol: hello, status, configuration, acknowledgement, a new boot."""

from __future__ import annotations

import struct
from pathlib import Path
from random import Random

import pytest

import unspool
from firmware.real_edges import real_edges
from firmware.stepped import CYCLES_PER_S, RAM_RESERVE, SteppedBoard, Talk, edges_every
from unspool.instrument.wire import BoardRestarted
from unspool.instrument.wire.conversation import Conversation, ResumePoint
from unspool.instrument.wire.table import PROTOCOL, ResetCause

pytestmark = pytest.mark.firmware

NASTY = (0, 1, 2, 0x18, 0x19, 0x1A, 0xFF, None)


def test_hello_states_the_boards_constants() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(1.5)
    hello = talk.hellos[0]
    assert (hello.protocol, hello.tick_hz, hello.boot) == (PROTOCOL, 250_000, 1)
    assert hello.firmware == f"atmega328p {unspool.__version__}"


def test_status_says_battery_and_clock() -> None:
    with SteppedBoard("--battery=4321") as board:
        talk = Talk(board)
        talk.until(5.0)
    status = talk.statuses[-1]
    assert status.battery_mv == pytest.approx(4321, rel=0.005)  # one step of the converter is 0.4 %
    assert status.ticks / 250_000 == pytest.approx(4.5, abs=0.6)
    assert (status.edges_lost, status.ring_fill_percent) == (0, 0)
    assert status.reset_cause is ResetCause.POWER_ON


def test_battery_going_down_shows() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(2.0)
        board.say("now battery 3300")
        talk.until(4.5)
    assert talk.statuses[0].battery_mv == pytest.approx(5000, rel=0.005)
    assert talk.statuses[-1].battery_mv == pytest.approx(3300, rel=0.005)


def test_configuration_is_confirmed() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.configure(edges_per_turn=36, flush_ms=50, rate=4000)
        talk.until(2.0)
    assert talk.hellos[-1].edges_per_turn == 36


def test_edges_are_kept_until_acknowledged() -> None:
    """A host that stores nothing gets the same edges again; one that comes later gets them too."""
    edges = edges_every(0.01, 100, 0.5)
    with SteppedBoard() as board:
        first = Conversation()
        while board.time_s < 2.5:
            until_s = board.time_s + 0.05
            due = [e for e in edges if board.time_s < e[0] / 16e6 <= until_s]
            first.receive(board.step(until_s, due, first.to_send(board.time_s)))
        second = Talk(board)
        second.until(4.0)
    assert [number for number, _, _ in second.edges] == list(range(100))


def test_edges_without_a_host_come_with_the_first() -> None:
    with SteppedBoard() as board:
        board.step(8.0, edges_every(0.01, 600, 0.5))
        talk = Talk(board)
        talk.until(10.0)
    assert [number for number, _, _ in talk.edges] == list(range(600))
    assert talk.gaps == []


def test_two_runs_without_a_host_are_kept_whole() -> None:
    """1,600 edges of a real car's run: launch, tiers, coast; a disc with 1.5 % slot error."""
    edges = real_edges(runs=3)[:1600]
    end_s = edges[-1][0] / CYCLES_PER_S
    with SteppedBoard() as board:
        board.turn(edges)
        talk = Talk(board)
        talk.until(end_s + 4.0)
    assert [(n, way) for n, _, way in talk.edges] == [(n, way) for n, (_, way) in enumerate(edges)]
    assert talk.gaps == []


def test_host_that_comes_back_gets_what_it_lacks() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(2.0, edges_every(0.01, 100, 0.5))
        board.step(7.0, edges_every(0.01, 300, 2.5))
        again = Talk(board)
        again.conversation = Conversation(ResumePoint(boot=1, next_edge=100))
        again.until(9.0)
    assert [number for number, _, _ in again.edges] == list(range(100, 400))


def noisy(random: Random) -> int:
    byte = random.choice(NASTY)
    return random.randrange(256) if byte is None else byte


@pytest.mark.parametrize("seed", range(5))
def test_garbage_never_stops_it(seed: int) -> None:
    """Whatever comes in at full speed: no edge is lost, no reset, and the next request is heard."""
    random = Random(seed)
    edges = edges_every(0.001, 1000, 0.5)
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(0.45)
        at = 0
        while board.time_s < 1.6:
            until_s = round(board.time_s + 0.01, 6)
            first = at
            while at < len(edges) and edges[at][0] <= until_s * 16e6:
                at += 1
            noise = bytes(noisy(random) for _ in range(115))
            talk.heard += talk.conversation.receive(board.step(until_s, edges[first:at], noise))
        talk.until(4.0)
    assert [number for number, _, _ in talk.edges] == list(range(1000))
    assert board.report["stack_room_bytes"] >= RAM_RESERVE
    assert {hello.boot for hello in talk.hellos} == {1}


def test_bursts_of_noise_towards_the_board_cost_no_edge() -> None:
    """A burst before everything that the host sends: the board hears all of it."""
    random = Random(3)
    edges = edges_every(0.005, 800, 0.5)
    with SteppedBoard() as board:
        talk = Talk(board, before=lambda: bytes(noisy(random) for _ in range(8)))
        for second in range(4):
            talk.until(1.499 + second, edges[200 * second : 200 * second + 200])
            assert len(talk.edges) >= 200 * second + 190, "they come late"
        talk.until(5.0)
    assert [number for number, _, _ in talk.edges] == list(range(800))


def test_hang_ends_in_a_restart_that_keeps_the_edges() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(1.5, edges_every(0.01, 50, 0.5))
        board.say("now hang")
        talk.until(4.0, edges_every(0.01, 50, 2.5))
    assert {hello.boot for hello in talk.hellos} == {1}
    assert talk.statuses[-1].reset_cause is ResetCause.WATCHDOG
    assert [number for number, _, _ in talk.edges] == list(range(100))
    assert [mark.first for mark in talk.all_of(BoardRestarted)] == [50]


@pytest.mark.parametrize("name", ["atmega328p", "rp2040"])
def test_power_on_begins_a_new_boot(name: str) -> None:
    with SteppedBoard(board=name) as board:
        talk = Talk(board)
        talk.until(1.5, edges_every(0.01, 50, 0.5))
        board.say("now reset power")
        talk.until(4.0, edges_every(0.01, 50, 2.5))
    assert list(dict.fromkeys(hello.boot for hello in talk.hellos)) == [1, 2]
    assert [number for number, _, _ in talk.edges] == [*range(50), *range(50)]


@pytest.mark.parametrize("name", ["atmega328p", "rp2040"])
@pytest.mark.parametrize(
    ("cause", "reported"),
    [
        ("external", ResetCause.EXTERNAL),
        ("brownout", ResetCause.BROWN_OUT),
        ("power", ResetCause.POWER_ON),
    ],
)
def test_reset_cause_is_reported(cause: str, reported: ResetCause, name: str) -> None:
    with SteppedBoard(board=name) as board:
        talk = Talk(board)
        talk.until(1.0)
        board.say(f"now reset {cause}")
        talk.until(3.0)
    assert talk.statuses[-1].reset_cause is reported


def boot_after(eeprom: Path) -> int:
    with SteppedBoard(f"--eeprom={eeprom}") as board:
        talk = Talk(board)
        talk.until(1.0)
    return talk.hellos[0].boot


def identity_after(eeprom: Path, offered: int) -> int:
    with SteppedBoard(f"--eeprom={eeprom}") as board:
        talk = Talk(board)
        talk.conversation = Conversation(identity=offered)
        talk.until(2.0)
    return talk.hellos[-1].identity


def test_number_of_a_board_is_its_first_for_life(tmp_path: Path) -> None:
    eeprom = tmp_path / "eeprom"
    assert [identity_after(eeprom, offered) for offered in (0xC0FFEE01, 7, 8)] == [0xC0FFEE01] * 3
    assert eeprom.read_bytes()[32:40] == bytes.fromhex("01eeffc0fe11003f"), "at its fixed place"


def test_number_that_a_write_left_half_done_is_none(tmp_path: Path) -> None:
    eeprom = tmp_path / "eeprom"
    for written in range(8):
        kept = bytes.fromhex("01eeffc0fe11003f")[:written] + b"\xff" * (8 - written)
        eeprom.write_bytes(b"\xff" * 32 + kept)
        assert identity_after(eeprom, 9) == 9


def test_boot_number_outlives_the_power(tmp_path: Path) -> None:
    eeprom = tmp_path / "eeprom"
    assert [boot_after(eeprom) for _ in range(10)] == list(range(1, 11))


def test_boot_number_outlives_a_torn_write(tmp_path: Path) -> None:
    """Any byte of the newest slot spoilt: the count goes on from the one before, never from 1."""
    eeprom = tmp_path / "eeprom"
    for _ in range(9):
        boot_after(eeprom)
    whole = eeprom.read_bytes()
    newest = whole.index(b"\x09\x00\xf6\xff")
    for offset in range(4):
        torn = bytearray(whole)
        torn[newest + offset] ^= 0xFF
        eeprom.write_bytes(torn)
        assert boot_after(eeprom) == 9


def cell(count: int) -> bytes:
    """A boot number as the board keeps it: the number and its complement."""
    return struct.pack("<HH", count, count ^ 0xFFFF)


@pytest.mark.parametrize("at", [0, 1, 7])
@pytest.mark.parametrize("newest", [9, 40_000, 65_535, 3])
def test_boot_number_never_goes_back(newest: int, at: int, tmp_path: Path) -> None:
    """Slot 0 of eight is spoilt, the newest number stands in slot `at`: the count goes on."""
    counts = [(newest - 1 - age) % 0xFFFF + 1 for age in range(8)]  # the newest first
    cells = [cell(counts[(at - slot) % 8]) for slot in range(8)]
    cells[0] = b"\xff\xff\x34\x12"
    eeprom = tmp_path / "eeprom"
    eeprom.write_bytes(b"".join(cells))
    left = counts[1] if at == 0 else newest
    assert boot_after(eeprom) == left % 0xFFFF + 1


def test_boot_number_never_reaches_zero(tmp_path: Path) -> None:
    eeprom = tmp_path / "eeprom"
    eeprom.write_bytes(b"\xff\xff\x00\x00" + b"\xff" * 28)
    assert [boot_after(eeprom), boot_after(eeprom)] == [1, 2]
