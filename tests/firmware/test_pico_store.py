"""What the RP2040 keeps in its flash: its boot number and identity, whatever cuts a write off."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from firmware.stepped import SteppedBoard, Talk, edges_every
from unspool.instrument.wire import Conversation

pytestmark = pytest.mark.firmware

SECTOR = 4096
CELLS = SECTOR // 4
BLANK = b"\xff"


def boot_cell(count: int) -> bytes:
    return struct.pack("<HH", count, count ^ 0xFFFF)


def kept(boots: bytes, identity: bytes = b"") -> bytes:
    return boots.ljust(2 * SECTOR, BLANK) + identity.ljust(SECTOR, BLANK)


def boot_after(file: Path) -> int:
    with SteppedBoard(f"--eeprom={file}", board="rp2040") as board:
        talk = Talk(board)
        talk.until(0.3)
    return talk.hellos[0].boot


def test_boot_number_goes_on(tmp_path: Path) -> None:
    file = tmp_path / "flash"
    assert [boot_after(file) for _ in range(3)] == [1, 2, 3]
    assert file.read_bytes()[:16] == b"".join(map(boot_cell, (1, 2, 3))) + BLANK * 4


@pytest.mark.parametrize("full", [0, 1])
def test_full_sector_makes_the_other_one_blank(full: int, tmp_path: Path) -> None:
    """The newest count stays where it is until the next one is written elsewhere."""
    file = tmp_path / "flash"
    old, new = (b"".join(boot_cell(n) for n in range(at, at + CELLS)) for at in (1, CELLS + 1))
    file.write_bytes(kept(new + old if full == 0 else old + new))
    assert boot_after(file) == 2 * CELLS + 1
    sectors = file.read_bytes()[:SECTOR], file.read_bytes()[SECTOR : 2 * SECTOR]
    assert sectors[full] == new
    assert sectors[1 - full] == boot_cell(2 * CELLS + 1).ljust(SECTOR, BLANK)


def test_write_that_was_cut_off_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "flash"
    torn = bytes((5, 0, 0xFF, 0xFF))
    file.write_bytes(kept(boot_cell(3) + boot_cell(4) + torn))
    assert boot_after(file) == 5
    assert boot_after(file) == 6
    assert file.read_bytes()[8:20] == torn + boot_cell(5) + boot_cell(6)


def test_count_wraps_past_none(tmp_path: Path) -> None:
    file = tmp_path / "flash"
    file.write_bytes(kept(boot_cell(0xFFFE) + boot_cell(0xFFFF)))
    assert [boot_after(file), boot_after(file)] == [1, 2]


def test_identity_is_kept_once_and_no_edge_is_missed_meanwhile(tmp_path: Path) -> None:
    """Writing the flash takes a millisecond, in which nothing that stands in it can run."""
    file = tmp_path / "flash"
    file.write_bytes(kept(b"", bytes.fromhex("0000000000000000")))  # a write that was cut off
    for offered in (0xC0FFEE01, 7):
        with SteppedBoard(f"--eeprom={file}", board="rp2040") as board:
            edges = edges_every(0.0002, 2000, 0.3)
            board.turn(edges[:500])
            talk = Talk(board)
            talk.conversation = Conversation(identity=offered)
            talk.until(1.0, edges[500:])
        assert talk.hellos[-1].identity == 0xC0FFEE01
        assert [number for number, _, _ in talk.edges] == list(range(2000))
    cells = file.read_bytes()[2 * SECTOR : 2 * SECTOR + 24]
    assert cells == bytes(8) + bytes.fromhex("01eeffc0fe11003f") + BLANK * 8
